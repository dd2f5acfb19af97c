#include <stile/base/errors.hpp>

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

namespace {
std::string join(const Where& where, std::string_view message) {
  std::string text = to_string(where);
  if (!text.empty()) text += ": ";
  return text.append(message);
}
}  // namespace

ParseError::ParseError(Where place, std::string_view message) : Error(join(place, message)), where(std::move(place)) {}

}  // namespace stile
