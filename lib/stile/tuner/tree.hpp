#pragma once
// The best state of a tuner, proven, without looking at all of them: branch and bound over a tree of its states.

#include <memory>
#include <span>
#include <vector>

#include <stile/tuner/stress.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

namespace detail {
struct TreeData;
}

/// The states of one tuner at one frequency and source, arranged for searching. Made by build_tree; copies share it.
/// One that was not is refused with a DomainError wherever it is used.
struct TunerTree {
  std::shared_ptr<const detail::TreeData> data;
};

/// @throws DomainError  as choose_state
/// Cost: 1.3 to 2 us a state, once. Some 20 bytes a state (below 200 asserted), 110 while it is built. The same tree on
/// every run.
TunerTree build_tree(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm);

// What it was built from.
const Tuner& tree_tuner(const TunerTree& tree);
const TunerTable& tree_table(const TunerTree& tree);
cdouble tree_source_ohm(const TunerTree& tree);
/// For users of the library: memory that the tree holds, bytes.
std::size_t tree_bytes(const TunerTree& tree);

/// The same choice as the search of all states (tuner.hpp), ties included: only states are left out whose bound is
/// worse than what is already found by more than rounding can amount to (1e-9 of |reflection|, 1e-9 of the loss ratio).
///
/// Bounds: with Gamma_0 the load that a state matches exactly, S22 its output reflection and Delta the determinant of
/// its scattering matrix, |Gamma_in| = |Delta| |Gamma_L - Gamma_0| / |1 - S22 Gamma_L|. A node keeps discs around
/// Gamma_0 and S22 and the least |Delta|. What the parts turn to heat is a form t |Gamma_L + u|^2 + t0 over
/// 1 - |Gamma_L|^2, of which a node keeps the least t and t0 and a disc around u.
/// Cost: 13 us for the three answers where the search of all takes 370 us (2^17 states; bench_tuner.cpp). Where nothing
/// tells states apart, such as a lossless tuner into a reactance, every state is looked at.
/// @throws DomainError  as choose_state
TunerChoice choose_state(const TunerTree& tree, cdouble z_load_ohm, double swr_limit);

/// Least worst stress / rating of the states within the SWR limit, ties to the lesser loss, then to the lower index.
struct StressChoice {
  TunerSetting setting;  ///< out_of_reach when no state is within the limit
  WorstStress stress;
};
/// Looks at every state within the limit, and at few others. @throws DomainError  as choose_state
StressChoice choose_least_stress(const TunerTree& tree, cdouble z_load_ohm, double swr_limit, double power_w);

/// One answer of a batch.
struct StateScore {
  TunerStatus status = TunerStatus::not_run;
  std::uint64_t index = 0;
  double swr = 0.0, dissipation_db = 0.0;
};

/// What a batch of loads is searched for; members as those of TunerChoice.
enum class Goal { least_swr, least_loss, most_delivered };

/// The goal's state for each load, in the loads' order.
///
/// @param threads  >= 1, or 0: as many as the machine has. The result does not depend on it.
/// Cost: for 2^17 states and a million loads over the reflection plane, on one core, 1.1 us a load for the least SWR,
/// 2.9 us for the least loss, 2.0 us for the most delivered power.
/// @throws DomainError  as choose_state
std::vector<StateScore> choose_states(const TunerTree& tree, std::span<const cdouble> z_load_ohm, double swr_limit,
                                      Goal goal, unsigned threads = 0);

}  // namespace stile::tuner
