#pragma once
// A whip solved in its conditions: the work behind stile-whip, without its command line.

#include <functional>
#include <string>
#include <vector>

#include <stile/plots/whip_study.hpp>
#include <stile/station/wire_table.hpp>
#include <stile/wire/solve.hpp>

namespace stile::tools {

/// One frequency of one condition.
struct WhipPoint {
  AntennaSolution solution;
  double q = 0.0;  ///< from the slope of the impedance, tuned by a lossless reactance
};

struct WhipCase {
  WireCase wires;
  std::vector<WhipPoint> points;      ///< in the order of the frequencies
  std::vector<std::string> warnings;  ///< what makes the thin-wire model doubtful, each once, with its frequency
};

struct WhipTask {
  std::vector<WireCase> conditions;
  std::vector<double> frequency_hz;  ///< rising, not empty
  SolveOptions options;
  unsigned threads = 0;  ///< 0: as many as the machine has
};

/// Called after each solution, from one thread at a time.
using WhipProgress = std::function<void()>;

/// How often solve_whip calls the progress function.
std::size_t whip_solutions(const WhipTask& task);

/// Solves all conditions at all frequencies. Slopes are taken between neighbours within 2 %; a frequency without one is
/// solved again a thousandth beside. The result does not depend on the number of threads.
/// @throws DomainError  as sweep_antenna
std::vector<WhipCase> solve_whip(const WhipTask& task, const WhipProgress& progress);

/// Peak voltage across the feed when all of a power goes into the antenna, V.
double feed_voltage_v_peak(const AntennaSolution& solution, double power_w);

/// Length of the wire that carries the feed, from half to one and a half of what it is; what hangs on it moves along.
std::vector<Antenna> lengthened_whips(const Antenna& antenna);

/// The first coil of the feed's wire in 5 % steps of that wire's length, as far as it is legal; empty without such a coil.
std::vector<Antenna> moved_coils(const Antenna& antenna, const Ground& ground);

/// Both at one frequency. The tuning coil at the feed has the Q of the first coil, without one 200.
plots::WhipStudy study_whip(const WireCase& wires, double frequency_hz, const SolveOptions& options,
                            const WhipProgress& progress);

}  // namespace stile::tools
