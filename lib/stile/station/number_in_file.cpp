#include <stile/station/number_in_file.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <optional>

#include <fmt/core.h>
#include <fmt/ranges.h>
#include <toml++/toml.h>

#include <stile/base/detail/decimal.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/station/detail/antenna_table.hpp>
#include <stile/wire/geometry.hpp>

namespace stile::station {
namespace {

[[noreturn]] void fail(std::string_view path, const std::string& why) { throw ParseError({std::string(path)}, why); }

std::string trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return std::string(text);
}

std::vector<std::string> keys_of(std::string_view path) {
  std::vector<std::string> keys(1);
  bool quoted = false;
  for (const char c : path) {
    if (c == '"')
      quoted = !quoted;
    else if (c == '.' && !quoted)
      keys.emplace_back();
    else
      keys.back() += c;
  }
  if (quoted || std::any_of(keys.begin(), keys.end(), [](const std::string& k) { return k.empty(); }))
    fail(path, "a path is keys with points between, such as transmitter.power; names with points stand in quotes");
  return keys;
}

/// A number and the unit behind it.
struct Amount {
  double value = 0.0;
  std::string unit;
};

std::optional<Amount> amount_of(std::string_view text) {
  const std::string whole = trimmed(text);
  Amount amount;
  const std::size_t end = stile::detail::decimal_end(whole, 0, true);
  if (end == 0) return std::nullopt;
  const std::optional<double> value = stile::detail::decimal_value<double>(std::string_view(whole).substr(0, end));
  if (!value || !std::isfinite(*value)) return std::nullopt;
  amount.value = *value;
  amount.unit = trimmed(std::string_view(whole).substr(end));
  return amount;
}

/// Where a number stands.
struct Found {
  std::string file;                  ///< of wires; empty: the station's own text
  std::string text;                  ///< that file's
  std::size_t begin = 0, end = 0;    ///< of the value in it
  std::string written;               ///< the value, without its quotes
  std::vector<wire::Vec3> points{};  ///< of a length
};

std::size_t offset_of(const std::string& text, const toml::source_position& place) {
  std::size_t at = 0;
  for (toml::source_index line = 1; line < place.line; ++line) at = text.find('\n', at) + 1;
  for (toml::source_index column = 1; column < place.column; ++column) {
    ++at;  // columns are code points
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
  }
  return at;
}

/// Behind a value: of a text its closing quote, of an array its bracket, of a number what cannot belong to one.
std::size_t end_of(const std::string& text, std::size_t begin) {
  const auto behind_text = [&](std::size_t at) {
    const char quote = text[at];
    for (++at; at < text.size() && text[at] != quote; ++at) {
      if (quote == '"' && text[at] == '\\') ++at;
    }
    return at + 1;
  };
  if (text[begin] == '"' || text[begin] == '\'') return behind_text(begin);
  if (text[begin] == '[') {
    int depth = 0;
    for (std::size_t at = begin; at < text.size(); ++at) {
      if (text[at] == '#') at = text.find('\n', at);
      if (text[at] == '"' || text[at] == '\'') at = behind_text(at) - 1;
      if (text[at] == '[') ++depth;
      if (text[at] == ']' && --depth == 0) return at + 1;
    }
  }
  return std::min(text.find_first_not_of("0123456789abcdefxoABCDEFinx_+-.", begin), text.size());
}

class Walk {
public:
  Walk(const StationText& stated, std::string_view path) : stated_(stated), path_(path), keys_(keys_of(path)) {}

  Found found() { return in_file(stated_.text, stated_.file, ""); }

private:
  Found in_file(const std::string& text, const std::string& name, const std::string& file) {
    try {
      const toml::table document = toml::parse(text, name);
      const std::optional<std::string> wires = down(document, text);
      if (wires) {
        const std::string path = detail::Beside{stated_.folder, stated_.replaced}.path(*wires);
        const auto replaced = stated_.replaced.find(path);
        return in_file(replaced != stated_.replaced.end() ? replaced->second : read_text_file(path), path, path);
      }
      found_.file = file;
      return found_;
    } catch (const toml::parse_error& error) {
      std::string message(error.description());
      std::replace(message.begin(), message.end(), '\n', ' ');
      throw ParseError({name, error.source().begin.line, error.source().begin.column}, message);
    }
  }

  /// Follows the keys that are left through one file. @return  the wires file in which they go on
  std::optional<std::string> down(const toml::table& document, const std::string& text) {
    const toml::node* node = &document;
    while (next_ < keys_.size()) {
      const std::string& key = keys_[next_];
      if (const toml::table* table = node->as_table()) {
        const toml::node* inner = table->get(key);
        const toml::node* wires = table->get("wires");
        if (inner == nullptr && wires != nullptr) {  // into the wires without naming them
          if (const auto* name = wires->as_string()) return name->get();
          node = wires;
          continue;
        }
        if (inner == nullptr && key == "length" && next_ + 1 == keys_.size() && table->get("points") != nullptr) {
          found_ = length_of(*table->get("points"), text);
          ++next_;
          return std::nullopt;
        }
        if (inner == nullptr) no_such(*table);
        ++next_;
        if (inner == wires && wires->is_string() && next_ < keys_.size()) return wires->as_string()->get();
        node = inner;
      } else if (const toml::array* list = node->as_array()) {
        node = item(*list);
        ++next_;
      } else {
        fail(path_, fmt::format("nothing is called \"{}\" there: what stands before it is a value", key));
      }
    }
    found_.text = text;
    if (const auto* words = node->as_string())
      found_.written = words->get();
    else if (node->is_number())
      found_.written = fmt::format("{}", *node->value<double>());
    else
      fail(path_, "it is no number; legal: the path of a number");
    if (!amount_of(found_.written)) fail(path_, fmt::format("it is \"{}\" and no number", found_.written));
    found_.begin = offset_of(text, node->source().begin);
    found_.end = end_of(text, found_.begin);
    return std::nullopt;
  }

  static std::string name_of(const toml::node& one) {
    const toml::table* table = one.as_table();
    for (const char* key : {"name", "condition"}) {
      if (table == nullptr) break;
      if (const auto* name = table->get_as<std::string>(key)) return name->get();
    }
    return "";
  }

  const toml::node* item(const toml::array& list) {
    const std::string& key = keys_[next_];
    std::vector<std::string> names;
    for (const toml::node& one : list) {
      names.push_back(name_of(one));
      if (!names.back().empty() && names.back() == key) return &one;
    }
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(key.data(), key.data() + key.size(), number);
    if (error == std::errc() && end == key.data() + key.size() && number >= 1 && number <= list.size())
      return list.get(number - 1);
    fail(path_, fmt::format("nothing is called \"{}\"; there are: {}, or a number from 1 to {}", key,
                            fmt::join(names, ", "), list.size()));
  }

  [[noreturn]] void no_such(const toml::table& table) {
    std::vector<std::string> there;
    for (const auto& [key, value] : table) there.emplace_back(key.str());
    fail(path_, fmt::format("\"{}\" is not stated; there are: {}", keys_[next_], fmt::join(there, ", ")));
  }

  Found length_of(const toml::node& points, const std::string& text) {
    Found found;
    found.text = text;
    found.begin = offset_of(text, points.source().begin);
    found.end = end_of(text, found.begin);
    wire::Wire wire;
    const auto number = [](const toml::node* node) {
      if (node == nullptr) return std::nan("");
      const auto* words = node->as_string();
      return words != nullptr ? read_quantity(words->get(), Unit::metre) : node->value<double>().value_or(std::nan(""));
    };
    if (const toml::array* list = points.as_array()) {
      for (const toml::node& point : *list) {
        const toml::array* xyz = point.as_array();
        if (xyz == nullptr) continue;
        wire.points.push_back({number(xyz->get(0)), number(xyz->get(1)), number(xyz->get(2))});
      }
    }
    const double length_m = wire.points.size() < 2 ? std::nan("") : wire::wire_length_m(wire);
    if (!std::isfinite(length_m)) fail(path_, "the wire's \"points\" are none");
    found.written = fmt::format("{:.6g} m", length_m);
    found.points = std::move(wire.points);
    return found;
  }

  const StationText& stated_;
  std::string_view path_;
  std::vector<std::string> keys_;
  std::size_t next_ = 0;
  Found found_;
};

/// The points of a wire with another length, as the file writes them.
std::string points_text(std::vector<wire::Vec3> points, double length_m, std::string_view path) {
  wire::Wire before;
  before.points.assign(points.begin(), points.end() - 1);
  const double to_last_m = before.points.size() < 2 ? 0.0 : wire::wire_length_m(before);
  const wire::Vec3 from = before.points.back(), to = points.back();
  const double piece_m = std::hypot(to.x_m - from.x_m, to.y_m - from.y_m, to.z_m - from.z_m);
  const double left_m = length_m - to_last_m;
  if (!(left_m > 0.0))
    fail(path, fmt::format("a length of {:.6g} m ends before the last straight piece, which begins at {:.6g} m; legal: "
                           "more",
                           length_m, to_last_m));
  const double share = left_m / piece_m;
  points.back() = {from.x_m + share * (to.x_m - from.x_m), from.y_m + share * (to.y_m - from.y_m),
                   from.z_m + share * (to.z_m - from.z_m)};
  std::vector<std::string> rows;
  for (const wire::Vec3& p : points) rows.push_back(fmt::format("[{}, {}, {}]", p.x_m, p.y_m, p.z_m));
  return fmt::format("[{}]", fmt::join(rows, ", "));
}

/// So many significant digits, those before the point all, and no exponent of a large number.
std::string with_digits(double value, int digits) {
  return std::abs(value) >= std::pow(10.0, digits) - 0.5 ? fmt::format("{:.0f}", value)
                                                         : fmt::format("{:.{}g}", value, digits);
}

}  // namespace

std::string number_at(const StationText& stated, std::string_view path) { return Walk(stated, path).found().written; }

StationText with_number(StationText stated, std::string_view path, const std::string& value) {
  Found found = Walk(stated, path).found();
  const auto amount = amount_of(value);
  if (!amount) fail(path, fmt::format("\"{}\" is no number", value));
  const std::string text = !found.points.empty()
                               ? points_text(found.points, read_quantity(value, Unit::metre, {std::string(path)}), path)
                           : amount->unit.empty() ? trimmed(value)
                                                  : "\"" + value + "\"";
  found.text.replace(found.begin, found.end - found.begin, text);
  (found.file.empty() ? stated.text : stated.replaced[found.file]) = std::move(found.text);
  return stated;
}

Vary read_vary(std::string_view text, const std::string& where) {
  const auto wrong = [&](const std::string& why) {
    return ParseError({where}, why + "; legal: WHAT=FROM:TO:N, such as transmitter.power=1W:20W:20");
  };
  const std::size_t equals = text.rfind('=');
  if (equals == std::string_view::npos) throw wrong(fmt::format("\"{}\" has no \"=\"", text));
  Vary vary;
  vary.what = trimmed(text.substr(0, equals));
  std::vector<std::string> ends(1);
  for (const char c : text.substr(equals + 1)) {
    if (c == ':')
      ends.emplace_back();
    else
      ends.back() += c;
  }
  if (ends.size() != 3) throw wrong(fmt::format("\"{}\" is not FROM:TO:N", text.substr(equals + 1)));
  const auto from = amount_of(ends[0]), to = amount_of(ends[1]), steps = amount_of(ends[2]);
  if (!from || !to) throw wrong(fmt::format("\"{}\" is no number", from ? ends[1] : ends[0]));
  if (!from->unit.empty() && !to->unit.empty() && from->unit != to->unit)
    throw wrong(fmt::format("\"{}\" and \"{}\" are two units", from->unit, to->unit));
  if (!(from->value != to->value)) throw wrong("both ends are the same");
  if (!steps || !steps->unit.empty() || steps->value != std::floor(steps->value) || steps->value < 2 ||
      steps->value > most_vary_steps)
    throw wrong(fmt::format("\"{}\" is not a number of values, 2 to {}", trimmed(ends[2]), most_vary_steps));
  vary.unit = from->unit.empty() ? to->unit : from->unit;
  const int count = static_cast<int>(steps->value);
  for (int n = 0; n < count; ++n) {
    const std::string number =  // twelve digits: 0.3 and not 0.30000000000000004
        fmt::format("{:.12g}", from->value + (to->value - from->value) * n / (count - 1));
    vary.values.push_back(*stile::detail::decimal_value<double>(number));
    vary.texts.push_back(vary.unit.empty() ? number : number + " " + vary.unit);
  }
  for (int digits = 4; digits <= 12; ++digits) {
    vary.shown.clear();
    for (const double value : vary.values)
      vary.shown.push_back(with_digits(value, digits) + (vary.unit.empty() ? "" : " " + vary.unit));
    if (std::adjacent_find(vary.shown.begin(), vary.shown.end()) == vary.shown.end()) break;
  }
  return vary;
}

}  // namespace stile::station
