#pragma once
// One setting that serves many loads: parts from what can be had, chosen once, or moved where a hand can move them.

#include <cstddef>
#include <string>
#include <vector>

#include <stile/match/setting_space.hpp>
#include <stile/network/foldback.hpp>
#include <stile/network/ladder.hpp>

namespace stile::match {

/// A load in one condition.
struct ServedLoad {
  std::string condition;
  bool normal = true;                    ///< false: an accident; it is judged, and has no say in the choice
  std::vector<cdouble> z_ohm;            ///< one a frequency of the space; finite, Re > 0
  std::vector<double> radiated_share{};  ///< of the power into the load, one a frequency, > 0; a factor of a path will
                                         ///< do as well; empty: 1, and losses are those to the load
};

struct SettingJob {
  network::Source source{};                        ///< full power, impedance
  double swr_limit = 2.0;                          ///< > 1; infinite: none, the least worst loss counts alone
  std::vector<network::FoldbackPoint> foldback{};  ///< rising SWR, falling power, none above the source's; empty: none
  network::Ladder before{}, after{};  ///< between transmitter and setting, between setting and load: cables
  std::vector<ServedLoad> loads;      ///< at least one of them normal
  double gap_db = 0.01;  ///< > 0; where values are continuous the search ends when nothing can be better by more
  std::size_t most_boxes = 200000;  ///< or when so many boxes of values were looked at
  bool must_hold = false;           ///< true: when none holds, no other is searched
};

/// What a setting does in one condition.
struct ConditionSetting {
  std::string condition;
  bool normal = true;
  std::size_t circuit = 0;      ///< index into SettingSpace::circuits
  std::vector<Choice> parts;    ///< one a slot, from transmitter to load, each element with the slot's place
  std::vector<double> swr;      ///< at each frequency, at the transmitter
  std::vector<double> loss_db;  ///< at each frequency: full power over radiated power; infinite when none is offered
  double worst_swr = 0.0, worst_loss_db = 0.0;
  bool holds = false;  ///< worst_swr is within the limit

  /// The parts that are there, as elements from transmitter to load.
  std::vector<network::Element> elements() const;
};

/// What is known about settings that were not taken.
struct Proof {
  std::size_t tried = 0;  ///< settings really evaluated; the others were excluded by bounds
  double bound_db = 0.0;  ///< no setting has a lesser worst loss (when it holds: none that holds)
  bool proven = false;    ///< bound_db is within gap_db of what was found
  std::string how;        ///< in one sentence
  bool in_steps = false;  ///< the search ended below what it bounded: bound_db is what was found, nothing is proven
};

enum class SettingStatus {
  not_run,
  holds,          ///< the SWR limit is held in every normal condition at every frequency
  does_not_hold,  ///< no setting does; this is the one whose worst condition radiates most
};

struct OneSetting {
  SettingStatus status = SettingStatus::not_run;
  std::vector<ConditionSetting> conditions;  ///< in the order of the loads; without a hand's moves all of one setting;
                                             ///< none when it must hold and none does: then nothing else is set
  double worst_swr = 0.0, worst_loss_db = 0.0;  ///< over normal conditions and frequencies
  Proof proof;
};

/// The best compromise: of the settings within the SWR limit in every normal condition at every frequency the one whose
/// greatest loss is least; when there is none, the one whose worst condition radiates most, with fold-back. Loss is
/// from the source's full power to the radiated power, with mismatch, fold-back and what the parts turn into heat.
///
/// Where a hand moves parts, each condition takes the best of what it reaches by the same rule (those that hold first),
/// and the parts that stay are chosen for the worst condition. An accident is judged as the set was left: in the normal
/// condition's setting that is worst for it.
///
/// Choices are searched exactly: what is not evaluated is excluded by a bound. Equal settings: fewest slots, then
/// lowest indices, from transmitter to load. Continuous values: once or in each condition, boxes of values are halved
/// until no box can be better by more than gap_db; where a hand moves single parts, values in steps of 0.5 % (of a
/// trimmer 0.2 %) are searched and the bound is that of each condition alone. One thread, and the result does not
/// depend on which.
///
/// @throws DomainError  a value outside its stated range, lengths that differ, no normal condition
/// Accuracy: losses and SWR 1e-9 against evaluating the whole ladder; SWR is within its limit to 1e-12.
OneSetting find_one_setting(const PreparedSpace& space, const SettingJob& job);

/// The whole ladder in a condition at frequency number n: before, the parts (those with z_ohm as that impedance),
/// after.
network::Ladder whole_ladder(const SettingJob& job, const ConditionSetting& setting, std::size_t n);

}  // namespace stile::match
