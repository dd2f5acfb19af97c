#include <stile/station/detail/toml_table.hpp>

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/core.h>
#include <fmt/ranges.h>
#include <toml++/toml.h>

#include <stile/base/errors.hpp>

namespace stile::station::detail {

/// What is wrong with a document that is read to its end.
struct Faults {
  std::vector<ParseError> found;
  std::set<std::pair<const toml::table*, std::string>> keys;  // that have one

  void note(const ParseError& error) {
    const auto same = [&](const ParseError& known) { return std::string_view(known.what()) == error.what(); };
    if (std::none_of(found.begin(), found.end(), same)) found.push_back(error);
  }
};

struct TomlNode {
  std::shared_ptr<const toml::table> document;
  const toml::table* table;
  std::string file;
  std::shared_ptr<Faults> faults;  // nothing: the first is thrown

  Where where(const toml::node& node) const { return {file, node.source().begin.line, node.source().begin.column}; }
};

namespace {

std::shared_ptr<const TomlNode> inside(const TomlNode& parent, const toml::table& table) {
  return std::make_shared<const TomlNode>(TomlNode{parent.document, &table, parent.file, parent.faults});
}

std::string type_name(const toml::node& node) {
  if (node.is_string()) return "a text";
  if (node.is_number()) return "a number";
  if (node.is_table()) return "a table";
  if (node.is_array()) return "an array";
  if (node.is_boolean()) return "true or false";
  return "a date or time";
}

constexpr std::string_view document_name = "the file";

/// What a table inside another is called: "[tuner.inductors]" inside "[tuner]", "[[load]] 2 whip" inside "[[load]] 2".
std::string inner_name(std::string_view outer, std::string_view key) {
  if (outer == document_name) return fmt::format("[{}]", key);
  if (outer.substr(0, 2) == "[[") return fmt::format("{} {}", outer, key);
  return fmt::format("{}.{}]", outer.substr(0, outer.size() - 1), key);
}

/// Place of a string's content: behind the opening quote.
Where content(Where where) {
  ++where.column;
  return where;
}

}  // namespace

namespace {

std::shared_ptr<const TomlNode> parsed(std::string_view text, const std::string& file, std::shared_ptr<Faults> faults) {
  try {
    auto document = std::make_shared<const toml::table>(toml::parse(text, file));
    const toml::table* root = document.get();
    return std::make_shared<const TomlNode>(TomlNode{std::move(document), root, file, std::move(faults)});
  } catch (const toml::parse_error& error) {
    std::string message(error.description());
    std::replace(message.begin(), message.end(), '\n', ' ');
    throw ParseError({file, error.source().begin.line, error.source().begin.column}, message);
  }
}

}  // namespace

TomlTable TomlTable::parse(std::string_view text, const std::string& file) {
  return {parsed(text, file, nullptr), std::string(document_name)};
}

TomlTable TomlTable::parse_all(std::string_view text, const std::string& file) {
  return {parsed(text, file, std::make_shared<Faults>()), std::string(document_name)};
}

std::size_t TomlTable::faults() const { return node_->faults ? node_->faults->found.size() : 0; }

std::size_t TomlTable::begin_item() const { return faults(); }

void TomlTable::end_item(std::size_t before, const ParseError& error) const {
  if (!node_->faults) throw;  // as it is: there may be several in it
  if (faults() != before) return;
  if (const auto* several = dynamic_cast<const ParseErrors*>(&error)) {
    for (const ParseError& one : several->faults) node_->faults->note(one);
  } else {
    node_->faults->note(error);
  }
}

void TomlTable::finish(std::size_t before) const {
  if (faults() == before) return;
  const std::vector<ParseError>& found = node_->faults->found;
  if (faults() == before + 1) throw found.back();
  throw ParseErrors({found.begin() + static_cast<std::ptrdiff_t>(before), found.end()});
}

bool TomlTable::faulted(std::string_view key) const {
  return node_->faults && node_->faults->keys.count({node_->table, std::string(key)}) != 0;
}

void TomlTable::fault(std::string_view key, const std::string& message) const {
  if (faulted(key)) return;
  const ParseError error(where(key), message);
  if (!node_->faults) throw error;
  node_->faults->note(error);
  node_->faults->keys.insert({node_->table, std::string(key)});
}

/// What `read` gives, or where that fails and faults are noted, `legal`.
template <class Value, class Read>
Value TomlTable::noted(std::string_view key, Value legal, const Read& read) const {
  if (!node_->faults) return read();
  try {
    return read();
  } catch (const ParseError& error) {
    node_->faults->note(error);
    node_->faults->keys.insert({node_->table, std::string(key)});
    return legal;
  }
}

bool TomlTable::has(std::string_view key) const { return node_->table->contains(key); }

bool TomlTable::is_text(std::string_view key) const {
  const toml::node* node = node_->table->get(key);
  return node != nullptr && node->is_string();
}

bool TomlTable::is_array(std::string_view key) const {
  const toml::node* node = node_->table->get(key);
  return node != nullptr && node->is_array();
}

Where TomlTable::where(std::string_view key) const {
  const toml::node* node = node_->table->get(key);
  Where place = node_->where(node != nullptr ? *node : *node_->table);
  if (place.line == 0) place = {node_->file, 1, 1};  // a table that only its sub-tables define
  return place;
}

void TomlTable::fail(std::string_view key, const std::string& message) const { throw ParseError(where(key), message); }

namespace {

const toml::node& get(const TomlTable& self, const TomlNode& node, std::string_view key) {
  const toml::node* found = node.table->get(key);
  if (found == nullptr) self.fail(key, fmt::format("{} needs the key \"{}\"", self.name(), key));
  return *found;
}

double read(const TomlTable& self, const TomlNode& owner, std::string_view key, const toml::node& value, Unit unit) {
  if (const auto* text = value.as_string()) return read_quantity(text->get(), unit, content(owner.where(value)));
  if (const std::optional<double> number = value.value<double>();
      value.is_number() && number && std::isfinite(*number)) {
    return *number;
  }
  const std::string_view name = unit_name(unit);
  throw ParseError(
      owner.where(value),
      fmt::format("\"{}\" in {} must be a finite number{}, not {}", key, self.name(),
                  name.empty() ? std::string() : fmt::format(" or a text with a unit such as \"1 {}\"", name),
                  value.is_number() ? "nan, inf or a whole number that no double holds" : type_name(value)));
}

void check_positive(const TomlTable& self, const TomlNode& owner, std::string_view key, const toml::node& value,
                    double number, Unit unit) {
  if (number > 0.0) return;
  throw ParseError(owner.where(value), fmt::format("\"{}\" in {} is {} and must be > 0", key, self.name(),
                                                   print_quantity(number, unit, 6)));
}

}  // namespace

std::string TomlTable::text(std::string_view key) const {
  return noted(key, std::string("?"), [&] {
    const toml::node& value = get(*this, *node_, key);
    const auto* text = value.as_string();
    if (text == nullptr) fail(key, fmt::format("\"{}\" in {} must be a text, not {}", key, name_, type_name(value)));
    if (text->get().empty()) fail(key, fmt::format("\"{}\" in {} must not be empty", key, name_));
    const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    if (std::any_of(text->get().begin(), text->get().end(), control)) {
      fail(key, fmt::format("\"{}\" in {} must be one line without control characters", key, name_));
    }
    return text->get();
  });
}

double TomlTable::quantity(std::string_view key, Unit unit) const {
  return noted(key, 1.0, [&] { return read(*this, *node_, key, get(*this, *node_, key), unit); });
}

double TomlTable::positive(std::string_view key, Unit unit) const {
  return noted(key, 1.0, [&] {
    const toml::node& value = get(*this, *node_, key);
    const double number = read(*this, *node_, key, value, unit);
    check_positive(*this, *node_, key, value, number, unit);
    return number;
  });
}

cdouble TomlTable::impedance(std::string_view key) const {
  return noted(key, cdouble(50.0), [&]() -> cdouble {
    const toml::node& value = get(*this, *node_, key);
    if (const auto* text = value.as_string()) return read_impedance(text->get(), content(node_->where(value)));
    return read(*this, *node_, key, value, Unit::ohm);
  });
}

std::vector<double> TomlTable::positives(std::string_view key, Unit unit) const { return array(key, unit, true); }

std::vector<double> TomlTable::quantities(std::string_view key, Unit unit) const { return array(key, unit, false); }

std::vector<double> TomlTable::array(std::string_view key, Unit unit, bool positive_only) const {
  return noted(key, std::vector<double>{1.0}, [&] {
    const toml::node& value = get(*this, *node_, key);
    const auto* array = value.as_array();
    if (array == nullptr || array->empty()) {
      const std::string name(unit_name(unit));
      fail(key, fmt::format("\"{}\" in {} must be an array of values, such as {}", key, name_,
                            name.empty() ? "[1, 2]" : fmt::format("[\"1 {0}\", \"2 {0}\"]", name)));
    }
    std::vector<double> numbers;
    for (const toml::node& item : *array) {
      numbers.push_back(read(*this, *node_, key, item, unit));
      if (positive_only) check_positive(*this, *node_, key, item, numbers.back(), unit);
    }
    return numbers;
  });
}

std::vector<std::string> TomlTable::texts(std::string_view key) const {
  return noted(key, std::vector<std::string>{}, [&] {
    const toml::node& value = get(*this, *node_, key);
    const auto* array = value.as_array();
    if (array == nullptr) fail(key, fmt::format("\"{}\" in {} must be an array of texts", key, name_));
    std::vector<std::string> all;
    for (const toml::node& item : *array) {
      const auto* text = item.as_string();
      if (text == nullptr)
        throw ParseError(node_->where(item), fmt::format("\"{}\" in {} must hold texts only", key, name_));
      all.push_back(text->get());
    }
    return all;
  });
}

std::vector<std::vector<double>> TomlTable::rows(std::string_view key, Unit unit, std::size_t columns) const {
  return noted(key, std::vector<std::vector<double>>{}, [&] {
    const toml::node& value = get(*this, *node_, key);
    const auto* array = value.as_array();
    if (array == nullptr)
      fail(key, fmt::format("\"{}\" in {} must be an array of arrays of {} numbers, not {}", key, name_, columns,
                            type_name(value)));
    std::vector<std::vector<double>> all;
    for (const toml::node& item : *array) {
      const auto* row = item.as_array();
      if (row == nullptr || row->size() != columns) {
        throw ParseError(node_->where(item),
                         fmt::format("each item of \"{}\" in {} must be an array of {} numbers", key, name_, columns));
      }
      all.emplace_back();
      for (const toml::node& cell : *row) all.back().push_back(read(*this, *node_, key, cell, unit));
    }
    return all;
  });
}

bool TomlTable::flag(std::string_view key, bool fallback) const {
  return noted(key, fallback, [&] {
    const toml::node* value = node_->table->get(key);
    if (value == nullptr) return fallback;
    const auto* flag = value->as_boolean();
    if (flag == nullptr) fail(key, fmt::format("\"{}\" in {} must be true or false", key, name_));
    return flag->get();
  });
}

std::optional<std::string> TomlTable::find_text(std::string_view key) const {
  return has(key) ? std::optional(text(key)) : std::nullopt;
}

std::optional<double> TomlTable::find_positive(std::string_view key, Unit unit) const {
  return has(key) ? std::optional(positive(key, unit)) : std::nullopt;
}

std::optional<double> TomlTable::find_not_negative(std::string_view key, Unit unit) const {
  if (!has(key)) return std::nullopt;
  const double number = quantity(key, unit);
  if (number < 0.0)
    fault(key, fmt::format("\"{}\" in {} is {} and must be >= 0", key, name_, print_quantity(number, unit, 6)));
  return std::max(0.0, number);
}

std::optional<TomlTable> TomlTable::find_table(std::string_view key) const {
  const toml::node* value = node_->table->get(key);
  if (value == nullptr) return std::nullopt;
  const auto* table = value->as_table();
  if (table == nullptr) {
    fault(key, fmt::format("\"{}\" must be a table, not {}", key, type_name(*value)));
    return std::nullopt;
  }
  return TomlTable(inside(*node_, *table), inner_name(name_, key));
}

TomlTable TomlTable::table(std::string_view key) const {
  auto found = find_table(key);
  if (!found) fail(key, fmt::format("{} needs the table {}", name_, inner_name(name_, key)));
  return *found;
}

std::vector<TomlTable> TomlTable::tables(std::string_view key) const {
  const toml::node* value = node_->table->get(key);
  if (value == nullptr) return {};
  if (value->is_table()) return {*find_table(key)};
  const auto* array = value->as_array();
  if (array == nullptr) fail(key, fmt::format("\"{}\" must be tables [[{}]], not {}", key, key, type_name(*value)));
  const std::string inner = inner_name(name_, key), rows = inner.back() == ']' ? "[" + inner + "]" : inner;
  std::vector<TomlTable> all;
  for (const toml::node& item : *array) {
    const auto* table = item.as_table();
    if (table == nullptr) throw ParseError(node_->where(item), fmt::format("\"{}\" must hold tables only", key));
    all.push_back(TomlTable(inside(*node_, *table), fmt::format("{} {}", rows, all.size() + 1)));
  }
  return all;
}

std::vector<std::pair<std::string, TomlTable>> TomlTable::named_tables(std::string_view key) const {
  const auto outer = find_table(key);
  std::vector<std::pair<std::string, TomlTable>> all;
  if (!outer) return all;
  for (const auto& [name, value] : *outer->node_->table) {
    const std::string text(name.str());
    const auto* table = value.as_table();
    if (table == nullptr) {
      outer->fail(text, fmt::format("{} holds named tables, such as {}; \"{}\" is none", outer->name(),
                                    inner_name(outer->name(), "feeder"), text));
    }
    all.emplace_back(text, TomlTable(inside(*node_, *table), inner_name(outer->name(), text)));
  }
  return all;
}

void TomlTable::only(std::initializer_list<std::string_view> legal) const {
  for (const auto& [key, value] : *node_->table) {
    if (std::find(legal.begin(), legal.end(), key.str()) != legal.end()) continue;
    const ParseError error(
        {node_->file, key.source().begin.line, key.source().begin.column},
        fmt::format("unknown key \"{}\" in {}; legal: {}", key.str(), name_, fmt::join(legal, ", ")));
    if (!node_->faults) throw error;
    node_->faults->note(error);
  }
}

}  // namespace stile::station::detail
