#include <stile/station/detail/plausible.hpp>

#include <cmath>
#include <vector>

#include <fmt/core.h>

namespace stile::station::detail {
namespace {

/// What stands for a value that has a fault, so that the rest can be read.
double typical(const Plausible& range) {
  return range.least > 0.0 ? std::sqrt(range.least * range.most) : 0.5 * (range.least + range.most);
}

}  // namespace

void check_plausible(const TomlTable& table, std::string_view key, double value, const Plausible& range) {
  if (within(value, range)) return;
  table.fault(key, fmt::format("\"{}\" in {} is {}; plausible for {}: {}", key, table.name(),
                               print_quantity(value, range.unit, 4), range.what, legal_instead(value, range)));
}

double plausible_value(const TomlTable& table, std::string_view key, const Plausible& range) {
  // A value of 0 or below keeps the message of the table where none is plausible.
  double value = 0.0;
  if (!range.zero && range.least > 0.0) {
    value = table.positive(key, range.unit);
  } else {
    value = table.quantity(key, range.unit);
    if (range.least >= 0.0) value = table.find_not_negative(key, range.unit).value_or(value);
  }
  check_plausible(table, key, value, range);
  return table.faulted(key) ? typical(range) : value;
}

std::optional<double> find_plausible(const TomlTable& table, std::string_view key, const Plausible& range) {
  return table.has(key) ? std::optional(plausible_value(table, key, range)) : std::nullopt;
}

std::optional<double> find_box_m3(const TomlTable& table, std::string_view key) {
  if (!table.has(key)) return std::nullopt;
  const std::vector<double> size = plausible_values(table, key, plausible::part_size);
  if (size.size() != 3) table.fault(key, fmt::format("\"{}\" must be length, width and height", key));
  if (table.faulted(key)) return std::nullopt;
  return size[0] * size[1] * size[2];
}

std::vector<double> plausible_values(const TomlTable& table, std::string_view key, const Plausible& range) {
  const bool positive = range.least > 0.0 && !range.zero;
  std::vector<double> values = positive ? table.positives(key, range.unit) : table.quantities(key, range.unit);
  for (double& value : values) {
    check_plausible(table, key, value, range);
    if (table.faulted(key)) value = typical(range);
  }
  return values;
}

}  // namespace stile::station::detail
