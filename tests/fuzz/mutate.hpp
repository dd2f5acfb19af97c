#pragma once
// A mutator for files: most of its changes leave a file that a reader takes, so that what lies behind the reader is
// reached.

#include <cctype>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <vector>

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t max_size);

namespace stile::fuzz {

/// One change of a text: a number becomes another of its size or an odd one, a line is doubled, left out or moved, or
/// (one time in four) bytes change as the fuzzer likes.
inline std::size_t mutate_text(std::uint8_t* data, std::size_t size, std::size_t max_size, unsigned seed) {
  std::minstd_rand random(seed);
  const auto below = [&](std::size_t n) { return random() % n; };
  if (size == 0 || below(4) == 0) return LLVMFuzzerMutate(data, size, max_size);
  std::string text(reinterpret_cast<const char*>(data), size);
  if (below(2) == 0) {
    std::vector<std::pair<std::size_t, std::size_t>> numbers;
    for (std::size_t at = 0; at < text.size();) {
      const bool begins = std::isdigit(static_cast<unsigned char>(text[at])) != 0 &&
                          (at == 0 || std::isalnum(static_cast<unsigned char>(text[at - 1])) == 0);
      if (!begins) {
        ++at;
        continue;
      }
      const std::size_t end = std::min(text.find_first_not_of("0123456789.", at), text.size());
      numbers.emplace_back(at, end - at);
      at = end;
    }
    if (!numbers.empty()) {
      const auto [at, length] = numbers[below(numbers.size())];
      static const char* const odd[] = {"0",     "1",  "2",      "0.5", "1e-9", "1e9",
                                        "1e300", "-1", "1e-320", "3",   "16",   "0.99"};
      std::string number = text.substr(at, length);
      if (below(2) == 0)
        number = odd[below(std::size(odd))];
      else
        for (char& c : number)
          if (c != '.') c = static_cast<char>('0' + below(10));
      text.replace(at, length, number);
    }
  } else {
    std::vector<std::string> lines;
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
      lines.push_back(text.substr(at, end - at));
      at = end;
    }
    const std::size_t one = below(lines.size()), other = below(lines.size());
    switch (below(3)) {
    case 0:
      lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(other), lines[one]);
      break;
    case 1:
      lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(one));
      break;
    default:
      std::swap(lines[one], lines[other]);
    }
    text.clear();
    for (const std::string& line : lines) text += line;
  }
  if (text.size() > max_size) text.resize(max_size);
  std::memcpy(data, text.data(), text.size());
  return text.size();
}

}  // namespace stile::fuzz

/// Of a target whose inputs are files.
#define STILE_FILE_MUTATOR                                                                                             \
  extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data, std::size_t size, std::size_t max_size,           \
                                                 unsigned seed) {                                                      \
    return stile::fuzz::mutate_text(data, size, max_size, seed);                                                       \
  }
