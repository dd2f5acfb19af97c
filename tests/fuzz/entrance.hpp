#pragma once
// What every target does with a text: hand it to a reader; only a ParseError is a legal refusal.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <string_view>

#include <stile/base/errors.hpp>

namespace stile::fuzz {

/// Ends the program, so that the fuzzer keeps the input.
[[noreturn]] inline void fail(const char* what) {
  std::cerr << "fault: " << what << "\n";
  std::abort();
}

inline void expect(bool holds, const char* what) {
  if (!holds) fail(what);
}

/// Calls `read` with the text. @return  false: it was refused
template <class Read>
bool readable(const std::uint8_t* data, std::size_t size, const Read& read) {
  try {
    read(std::string_view(reinterpret_cast<const char*>(data), size));
    return true;
  } catch (const ParseError& error) {
    std::string_view rest = error.what();
    expect(!rest.empty(), "a refusal without a word");
    while (!rest.empty()) {  // a line for each fault
      const std::size_t end = std::min(rest.find('\n'), rest.size());
      expect(end < 4096, "a message that quotes kilobytes");
      rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return false;
  }
}

}  // namespace stile::fuzz
