#pragma once
// An antenna in all its conditions over frequency, and how far they are apart.

#include <functional>
#include <span>
#include <string>
#include <vector>

#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// One frequency of one condition.
struct ConditionPoint {
  AntennaSolution solution;
  double q = 0.0;  ///< from the slope of the impedance, tuned by a lossless reactance
};

struct ConditionSweep {
  WireCase wires;
  std::vector<ConditionPoint> points;  ///< in the order of the frequencies
  std::vector<std::string> warnings;   ///< what makes the thin-wire model doubtful, each once, with its frequency
};

struct ConditionTask {
  std::vector<WireCase> conditions;
  std::vector<double> frequency_hz;  ///< rising, not empty
  SolveOptions options;
  unsigned threads = 0;  ///< 0: as many as the machine has
};

/// Called after each solution, from one thread at a time.
using SolutionProgress = std::function<void()>;

/// How often sweep_conditions solves, and calls the progress function.
/// @throws DomainError  as sweep_conditions, of the frequencies
std::size_t solution_count(const ConditionTask& task);

/// Solves all conditions at all frequencies. The slope for Q is taken between the neighbours within 2 %; a frequency
/// without one is solved again a thousandth beside it. The result does not depend on the number of threads.
///
/// @param progress  may be empty
/// @return          in the order of the conditions
/// @throws DomainError  no frequency, or not rising; as sweep_antenna
/// Accuracy of Q beside solve_antenna's: 2 % of the Q that a slope over two thousandths gives
/// (test_condition_sweep.cpp).
std::vector<ConditionSweep> sweep_conditions(const ConditionTask& task, const SolutionProgress& progress = {});

/// From the lowest to the highest of the conditions at one frequency.
struct ConditionSpread {
  double frequency_hz = 0.0;
  double r_low_ohm = 0.0, r_high_ohm = 0.0;  ///< of the feed
  double x_low_ohm = 0.0, x_high_ohm = 0.0;
  double efficiency_low = 0.0, efficiency_high = 0.0;
};

/// One a frequency; empty for fewer than two conditions.
/// @param sweeps  of the same frequencies
/// @throws DomainError  not so
std::vector<ConditionSpread> condition_spreads(std::span<const ConditionSweep> sweeps);

/// A value with its place: the first of equal ones.
struct ConditionValue {
  double value = 0.0;
  double frequency_hz = 0.0;
  std::string condition;
};

/// The highest peak voltage at the feed when all of a power is accepted, V.
/// @throws DomainError  no point; as network::load_voltage_v_peak
ConditionValue highest_feed_voltage_v_peak(std::span<const ConditionSweep> sweeps, double power_w);

/// The least efficiency, 0..1.
/// @throws DomainError  no point
ConditionValue least_efficiency(std::span<const ConditionSweep> sweeps);

}  // namespace stile::wire
