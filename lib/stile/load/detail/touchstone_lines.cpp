#include <stile/load/detail/touchstone_lines.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/detail/decimal.hpp>
#include <stile/base/errors.hpp>

namespace stile::load::detail::touchstone {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }

void check_characters(std::string_view line, std::size_t number, const std::string& file) {
  for (std::size_t i = 0; i < line.size(); ++i) {
    const auto byte = static_cast<unsigned char>(line[i]);
    if (byte == '\t' || (byte >= 0x20 && byte <= 0x7E)) continue;
    static constexpr std::string_view hex = "0123456789ABCDEF";
    std::string message = "byte 0x";
    message += hex[byte >> 4U];
    message += hex[byte & 15U];
    message += " is not legal, not even in a comment; printable ASCII and tabs are";
    throw ParseError({file, number, i + 1}, message);
  }
}

std::vector<Word> words_of(std::string_view line) {
  std::vector<Word> words;
  std::size_t i = 0;
  while (i < line.size()) {
    if (is_blank(line[i])) {
      ++i;
      continue;
    }
    const std::size_t start = i;
    while (i < line.size() && !is_blank(line[i])) ++i;
    words.push_back({line.substr(start, i - start), start + 1});
  }
  return words;
}

[[noreturn]] void not_a_number(const Word& word, std::size_t line, const std::string& file) {
  const std::string quoted = "\"" + std::string(word.text) + "\"";
  if (word.text.find(',') != std::string_view::npos)
    throw ParseError({file, line, word.column}, quoted + " holds a comma: the decimal sign is a point (not a decimal "
                                                         "comma), and numbers are separated by blanks");
  throw ParseError({file, line, word.column}, quoted + " is not a finite decimal number such as -12.5 or 1.8e6");
}

/// The number times 10^exponent, rounded once.
template <class Real>
Real value_of(const Word& word, int exponent, std::size_t line, const std::string& file) {
  if (!looks_like_number(word.text)) not_a_number(word, line, file);
  const auto value = stile::detail::decimal_value<Real>(word.text, exponent);
  if (!value)
    throw ParseError({file, line, word.column},
                     "\"" + std::string(word.text) + "\" is outside the range of a double, 2.3e-308 to 1.7e308");
  return *value;
}

}  // namespace

Text split(std::string_view text, const std::string& file, std::size_t first) {
  Text result;
  if (first == 1 && text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  std::size_t start = 0;
  std::size_t number = first - 1;
  while (start < text.size()) {
    const std::size_t end = std::min(text.find_first_of("\r\n", start), text.size());
    const std::string_view whole = text.substr(start, end - start);
    ++number;
    check_characters(whole, number, file);
    const std::string_view content = whole.substr(0, whole.find('!'));
    auto words = words_of(content);
    if (!words.empty()) result.lines.push_back({number, content, std::move(words)});
    start = end + (text.substr(end, 2) == "\r\n" ? 2 : 1);
  }
  result.last_line = std::max<std::size_t>(number, 1);
  return result;
}

std::string lower(std::string_view text) {
  std::string result(text);
  for (char& c : result)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return result;
}

bool looks_like_number(std::string_view text) {
  return !text.empty() && stile::detail::decimal_end(text, 0, true) == text.size();
}

double number(const Word& word, std::size_t line, const std::string& file) {
  return value_of<double>(word, 0, line, file);
}

double scaled_number(const Word& word, long double factor, std::size_t line, const std::string& file) {
  const auto scaled = static_cast<double>(value_of<long double>(word, 0, line, file) * factor);
  if (!std::isfinite(scaled))
    throw ParseError({file, line, word.column},
                     "\"" + std::string(word.text) + "\" times the reference is outside the range of a double");
  return scaled;
}

double shifted_number(const Word& word, int exponent, std::size_t line, const std::string& file) {
  return value_of<double>(word, exponent, line, file);
}

}  // namespace stile::load::detail::touchstone
