#pragma once
// Several counterpoise wires of different length for several bands: what each adds, and which lengths are best. For
// library users, save tuned_efficiency.

#include <span>
#include <vector>

#include <stile/base/roots.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/solve.hpp>

namespace stile::wire {

/// How the wires leave the feed: each slopes down over the whip set's drop distance and lies from there on.
struct CounterpoiseLayout {
  double spread_rad = 0.0;  ///< angle between the outer wires, 0..2 pi (exclusive); 0: a bundle, side by side
  double spacing_m = 0.02;  ///< between neighbours of a bundle, axis to axis
};

/// The whip of a set over 1 to 5 wires of these lengths. @throws DomainError  their number, or as check_antenna
Antenna with_counterpoises(const WhipSet& whip, std::span<const double> lengths_m, const CounterpoiseLayout& layout);

/// Power that is radiated over power into a series coil of this Q that takes away the feed reactance:
/// efficiency times R/(R + |X|/Q).
double tuned_efficiency(const AntennaSolution& solution, double matching_q);
/// What that coil takes of the power into it, dB. @throws DomainError  as tuned_efficiency
double tuning_loss_db(const AntennaSolution& solution, double matching_q);

/// One band over one soil, with all wires and without each.
struct CounterpoiseBand {
  double frequency_hz = 0.0;
  Ground ground;
  cdouble feed_ohm;
  double tuned_efficiency = 0.0;
  std::vector<double> gain_db;  ///< what each wire adds: tuned efficiency with all over that without it
};

struct CounterpoiseTask {
  WhipSet whip;  ///< its ground is not used, of its wires the kind of the first
  CounterpoiseLayout layout;
  std::vector<double> frequencies_hz;  ///< one or more a band
  std::vector<Ground> grounds;
  double matching_q = 200.0;  ///< of the coil that tunes the feed
  SolveOptions options;
};

/// @return  for each ground every frequency, in order
/// @throws DomainError  no frequency or no ground; one wire alone, since without it nothing is left; as solve_antenna
std::vector<CounterpoiseBand> counterpoise_shares(const CounterpoiseTask& task, std::span<const double> lengths_m);

enum class SearchStatus {
  not_run,
  settled,     ///< no single change of a length to a neighbouring or any other candidate helps
  pass_limit,  ///< ended by the limit of passes, may still improve
};

struct CounterpoiseChoice {
  SearchStatus status = SearchStatus::not_run;
  std::vector<double> lengths_m;        ///< falling
  double worst_tuned_efficiency = 0.0;  ///< over frequencies and grounds, with the options' method
  int evaluations = 0;
};

/// Lengths for `wires` wires (1..5) from `candidates_m` that make the worst band over the worst ground best: one wire
/// after the other, then in turn until nothing changes or `max_passes` is reached. A local optimum over the candidates,
/// not proven to be the best of all.
CounterpoiseChoice best_counterpoises(const CounterpoiseTask& task, int wires, std::span<const double> candidates_m,
                                      int max_passes = 4);

/// Length of a dragged wire that leaves the whip the reactance it has over perfect ground, as a share of a quarter wave
/// in air: Root::x. Field practice drags 0.75 to 0.9 of it (web article on a back-pack station, undated).
/// The wire lies level at `height_m`, the whip stands at its end.
Root dragged_length_factor(const WhipSet& whip, const Ground& ground, double height_m, double frequency_hz,
                           const SolveOptions& options = {});

}  // namespace stile::wire
