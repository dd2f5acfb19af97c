#pragma once
// What is odd about a measured sweep, with its place.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace stile::sweep {

enum class FindingKind {
  characters,        ///< bytes that the standard does not allow
  option_line,       ///< missing, indented, repeated
  decimal_comma,     ///< numbers written with a comma
  columns,           ///< more columns than the name promises
  noise_block,       ///< noise data behind the network data, left out
  order,             ///< frequencies that fall; sorted
  duplicate,         ///< a frequency that was there before; the first reading is kept
  rounding,          ///< a column has too few digits
  reference,         ///< the reference resistance is unusual, or not the one stated
  magnitude_only,    ///< SWR or |S11| alone
  zero_frequency,    ///< a point at 0 Hz, left out
  above_one,         ///< |S11| > 1
  open_circuit,      ///< S11 = 1: no impedance
  high_reflection,   ///< |S11| > 0.98: R is lost in the instrument's error
  noise_floor,       ///< what scatter of neighbours says about the random error
  jump,              ///< neighbours further apart than the rest
  folded_reactance,  ///< the sign of the reactance is missing
  few_points,        ///< a resonance with too few points
  cable,             ///< the angle turns as behind a cable
  plane,             ///< the angle turns the wrong way, or two sweeps differ by a length of line
  causality,         ///< a stretch that no passive one-port can have
  not_passive,       ///< a two-port gives more power than it gets
  not_reciprocal,    ///< what goes one way differs from what goes the other
  one_path,          ///< one direction was not measured
  repeated_columns,  ///< S22 and S12 repeat S11 and S21
  ill_conditioned,   ///< a correction made the uncertainty grow
  too_few,           ///< fewer points than anything can be said from
};

/// "reflection above one", "decimal comma" ...: the word in results.
std::string_view finding_name(FindingKind kind);

struct Finding {
  FindingKind kind{};
  std::size_t line = 0;       ///< of the first occurrence, from 1; 0: no line, of the whole file
  double frequency_hz = 0.0;  ///< of the first, or of the worst where the text says so; 0: of the whole file
  std::size_t count = 1;      ///< points or lines it is about
  std::string text;           ///< one sentence, small first letter, no full stop
};

/// Whether one of them is of that kind.
bool has_finding(const std::vector<Finding>& findings, FindingKind kind);

}  // namespace stile::sweep
