#include <stile/load/load_file.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <stile/load/detail/touchstone_lines.hpp>

namespace stile::load {
namespace touchstone = detail::touchstone;

namespace {

// Beyond rounding of the printed digits, no passive load reflects more than it gets.
constexpr double reflection_rounding = 1e-9;

std::string stem_of(const std::string& file) {
  if (file == "-") return "standard input";
  const std::size_t slash = file.rfind('/');
  const std::string base = slash == std::string::npos ? file : file.substr(slash + 1);
  const std::size_t dot = base.rfind('.');
  return dot == std::string::npos || dot == 0 ? base : base.substr(0, dot);
}

std::string extension_of(const std::string& path) {
  const std::size_t dot = path.rfind('.');
  const std::size_t slash = path.rfind('/');
  if (dot == std::string::npos || (slash != std::string::npos && dot < slash)) return "";
  return touchstone::lower(std::string_view(path).substr(dot));
}

struct Samples {
  std::vector<double> frequency_hz;
  std::vector<cdouble> z_ohm;
  std::vector<double> reflection;
  std::vector<std::string> warnings;
};

void add_reflection(Samples& samples, cdouble s, double reference_ohm, const Where& where) {
  const double magnitude = std::abs(s);
  if (magnitude > 1.0 + reflection_rounding)
    throw ParseError(where, "|S11| exceeds 1 by " + print_quantity(magnitude - 1.0, Unit::one, 3) +
                                ": a passive load cannot return more power than it gets; leave such points out, or "
                                "calibrate anew");
  const double distance = std::norm(1.0 - s);
  if (distance == 0.0) throw ParseError(where, "S11 = 1 is an open circuit and has no impedance");
  if (magnitude > 1.0)
    samples.warnings.push_back(to_string(where) + ": |S11| above 1 by rounding, taken as total reflection (R = 0)");
  const double absorbed = std::max(0.0, (1.0 - magnitude) * (1.0 + magnitude));
  samples.z_ohm.emplace_back(reference_ohm * absorbed / distance, reference_ohm * 2.0 * s.imag() / distance);
  samples.reflection.push_back(magnitude);
}

Samples samples_of(const TouchstoneFile& file) {
  Samples samples;
  for (const TouchstoneWarning& warning : file.warnings)
    samples.warnings.push_back(to_string(Where{file.file, warning.line, 0}) + ": " + warning.message);
  for (const TouchstonePoint& point : file.points) {
    const Where where{file.file, point.value_line, point.value_column};
    if (point.frequency_hz <= 0.0)
      throw ParseError({file.file, point.line, point.column},
                       "a load has no impedance at 0 Hz; frequencies must be above");
    samples.frequency_hz.push_back(point.frequency_hz);
    const cdouble value = point.matrix.front();
    if (file.kind == TouchstoneKind::s) {
      add_reflection(samples, value, file.reference_ohm.front(), where);
    } else {
      if (value.real() < 0.0) throw ParseError(where, "a negative resistance; a passive load has real part >= 0");
      if (file.kind == TouchstoneKind::y && value == 0.0)
        throw ParseError(where, "Y11 = 0 is an open circuit and has no impedance");
      samples.z_ohm.push_back(file.kind == TouchstoneKind::z ? value : 1.0 / value);
    }
    const cdouble z = samples.z_ohm.back();
    if (!std::isfinite(z.real()) || !std::isfinite(z.imag()))
      throw ParseError(where, "the impedance is outside the range of a double");
  }
  return samples;
}

const Where& cell_place(const Table& table, std::size_t row, std::string_view column) {
  return table.rows[row][table.column(column)].where;
}

/// Names of the columns of shares; the ground has the rest.
struct ShareColumns {
  std::string_view radiated, metal;
  std::string_view person, lumps;  // may be missing: nothing goes there
};
constexpr ShareColumns load_columns{"radiated_share", "metal_share", "person_share", "lump_share"};
constexpr ShareColumns attached_columns{"far_field_power_over_input", "metal_loss_over_input", "person_loss_over_input",
                                        "lump_loss_over_input"};

PowerShares shares_of_row(const Table& table, std::size_t row, const ShareColumns& columns) {
  const auto share = [&](std::string_view column) {
    const double value = table.number(row, column);
    if (value < 0.0 || value > 1.0)
      throw ParseError(cell_place(table, row, column), "a share of power must lie within 0 and 1");
    return value;
  };
  const auto share_or_none = [&](std::string_view column) { return table.has_column(column) ? share(column) : 0.0; };
  PowerShares s{share(columns.radiated), share(columns.metal), 0.0, share_or_none(columns.person),
                share_or_none(columns.lumps)};
  // Printed shares may sum to 1 with the last digit rounded up in binary.
  const double rest = 1.0 - s.radiated - s.metal - s.person - s.lumps;
  if (rest < -1e-12) throw ParseError(cell_place(table, row, columns.metal), "the shares of power sum to more than 1");
  s.ground = std::max(0.0, rest);
  return s;
}

}  // namespace

Load load_from_touchstone_text(std::string_view text, const std::string& file, const LoadFileOptions& options) {
  const TouchstoneFile read = read_touchstone(text, file);
  if (read.ports != 1)
    throw ParseError({file, 0, 0}, "a load has one port, this file has " + std::to_string(read.ports));
  Samples samples = samples_of(read);
  static constexpr std::array<const char*, 3> letters{"S", "Y", "Z"};
  const char* letter = letters[static_cast<std::size_t>(read.kind)];
  return {stem_of(file), "Touchstone " + read.version + " file " + file + ", " + letter + " parameters",
          make_sampled_load(std::move(samples.frequency_hz), std::move(samples.z_ohm), {}, options.widest_gap_ratio,
                            std::move(samples.reflection)),
          std::move(samples.warnings)};
}

Load load_from_touchstone_file(const std::string& path, const LoadFileOptions& options) {
  return load_from_touchstone_text(read_text_file(path), path, options);
}

Load load_from_csv_text(std::string_view text, const std::string& file, const LoadFileOptions& options) {
  const Table table = read_table(text, file);
  static constexpr std::array<std::string_view, 7> known{
      "frequency_hz",      "r_ohm",           "x_ohm", load_columns.radiated, load_columns.metal,
      load_columns.person, load_columns.lumps};
  std::vector<std::string> warnings;
  for (const Cell& cell : table.heading)
    if (std::find(known.begin(), known.end(), cell.text) == known.end())
      warnings.push_back(to_string(cell.where) + ": column \"" + cell.text + "\" is not used");
  const bool with_shares = table.has_column("radiated_share");
  if (with_shares != table.has_column("metal_share"))
    throw ParseError(table.heading[table.column(with_shares ? "radiated_share" : "metal_share")].where,
                     "radiated_share and metal_share must stand together");
  for (const std::string_view column : {load_columns.person, load_columns.lumps}) {
    if (table.has_column(column) && !with_shares)
      throw ParseError(table.heading[table.column(column)].where,
                       std::string(column) + " needs radiated_share and metal_share beside it");
  }
  if (table.rows.empty())
    throw ParseError({file, table.heading.front().where.line, 0},
                     "no rows below the heading; a load needs at least one");
  std::vector<double> frequency_hz;
  std::vector<cdouble> z_ohm;
  std::vector<PowerShares> shares;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double f = table.number(row, "frequency_hz");
    if (f <= 0.0) throw ParseError(cell_place(table, row, "frequency_hz"), "a frequency must be greater than 0 Hz");
    if (!frequency_hz.empty() && f <= frequency_hz.back())
      throw ParseError(cell_place(table, row, "frequency_hz"), "frequencies must strictly increase");
    frequency_hz.push_back(f);
    const cdouble z{table.number(row, "r_ohm"), table.number(row, "x_ohm")};
    if (z.real() < 0.0)
      throw ParseError(cell_place(table, row, "r_ohm"), "a negative resistance; a passive load has r_ohm >= 0");
    z_ohm.push_back(z);
    if (with_shares) shares.push_back(shares_of_row(table, row, load_columns));
  }
  return {stem_of(file), "CSV file " + file,
          make_sampled_load(std::move(frequency_hz), std::move(z_ohm), std::move(shares), options.widest_gap_ratio),
          std::move(warnings)};
}

Load load_from_file(const std::string& path, const LoadFileOptions& options) {
  const std::string extension = extension_of(path);
  if (path == "-" || extension == ".ts" || ports_of_touchstone_name(extension))
    return load_from_touchstone_file(path, options);
  if (extension == ".csv") return load_from_csv_text(read_text_file(path), path, options);
  throw ParseError({path, 0, 0}, "not a load file by its name; legal: .s1p, .ts (Touchstone), .csv, or \"-\" for "
                                 "Touchstone on standard input");
}

Load attach_shares(Load load, const Table& table) {
  auto* samples = std::get_if<SampledLoad>(&load.model);
  require(samples != nullptr, "power shares can be attached to a sampled load only");
  const auto& frequency_hz = samples->frequency_hz;
  std::vector<PowerShares> shares;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double f = table.number(row, "frequency_hz");
    if (row >= frequency_hz.size() || std::abs(f - frequency_hz[row]) > 1e-9 * frequency_hz[row])
      throw ParseError(cell_place(table, row, "frequency_hz"),
                       row < frequency_hz.size()
                           ? "the load has " + print_quantity(frequency_hz[row], Unit::hertz, 9) + " here"
                           : "more rows than the load's " + std::to_string(frequency_hz.size()) + " samples");
    shares.push_back(shares_of_row(table, row, attached_columns));
  }
  if (shares.size() != frequency_hz.size())
    throw ParseError({table.file, 0, 0}, std::to_string(shares.size()) + " rows of shares for a load of " +
                                             std::to_string(frequency_hz.size()) + " samples");
  load.model = make_sampled_load(samples->frequency_hz, samples->z_ohm, std::move(shares), samples->widest_gap_ratio,
                                 samples->measured_reflection);
  return load;
}

}  // namespace stile::load
