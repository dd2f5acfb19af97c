#include <stile/base/errors.hpp>

#include <algorithm>
#include <tuple>
#include <utility>

namespace stile {

std::string to_string(const Where& where) {
  if (where.line == 0) {
    if (where.column == 0) return where.file;
    return where.file + (where.file.empty() ? "column " : ": column ") + std::to_string(where.column);
  }
  std::string text = where.file + ":" + std::to_string(where.line);
  if (where.column != 0) text += ":" + std::to_string(where.column);
  return text;
}

std::string shortened(std::string_view message) {
  constexpr std::size_t most = 2000;
  if (message.size() <= most) return std::string(message);
  const auto within = [&](std::size_t at) {  // a character
    return (static_cast<unsigned char>(message[at]) & 0xC0U) == 0x80U;
  };
  std::size_t front = 1000, end = message.size() - 400;
  for (int n = 0; n < 3 && within(front); ++n) --front;
  for (int n = 0; n < 3 && within(end); ++n) ++end;
  return std::string(message.substr(0, front)) + " [... " + std::to_string(end - front) + " bytes ...] " +
         std::string(message.substr(end));
}

namespace {
std::string join(const Where& where, std::string_view message) {
  std::string text = to_string(where);
  if (!text.empty()) text += ": ";
  for (const char c : message) {
    if (c == '\0')
      text += "\\0";  // what() would end here
    else
      text += c;
  }
  return text;
}

std::vector<ParseError> in_order(std::vector<ParseError> found) {
  require(!found.empty(), "a list of faults needs one");
  std::stable_sort(found.begin(), found.end(), [](const ParseError& a, const ParseError& b) {
    return std::tie(a.where.file, a.where.line, a.where.column) < std::tie(b.where.file, b.where.line, b.where.column);
  });
  return found;
}

/// Behind the place, which ParseError puts in front: the first message, then a line for each other fault.
std::string lines(const std::vector<ParseError>& ordered) {
  std::string text = ordered.front().what();
  const std::string place = to_string(ordered.front().where);
  if (!place.empty()) text.erase(0, place.size() + 2);
  for (std::size_t n = 1; n < ordered.size(); ++n) text.append("\n").append(ordered[n].what());
  return text;
}
}  // namespace

ParseErrors::ParseErrors(std::vector<ParseError> found) : ParseErrors(InOrder{}, in_order(std::move(found))) {}

ParseErrors::ParseErrors(InOrder, std::vector<ParseError> found)
    : ParseError(AsIs{}, found.front().where, lines(found)), faults(std::move(found)) {}

ParseError::ParseError(Where place, std::string_view message)
    : ParseError(AsIs{}, std::move(place), shortened(message)) {}

ParseError::ParseError(AsIs, Where place, std::string_view message)
    : Error(join(place, message)), where(std::move(place)) {}

}  // namespace stile
