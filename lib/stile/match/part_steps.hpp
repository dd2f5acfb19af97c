#pragma once
// Which parts can be had: preferred values, steps, any value between limits.

#include <cstddef>
#include <optional>
#include <vector>

#include <stile/match/eseries.hpp>
#include <stile/match/match.hpp>

namespace stile::match {

/// Self-capacitance of a coil about which nothing is stated. Common practice: a single layer has 1 to 3 pF at HF
/// (Medhurst, Wireless Engineer 24, 1947, as quoted elsewhere: at least 0.46 pF for each centimetre of diameter).
inline constexpr double usual_self_capacitance_f = 2e-12;

/// What may stand in a place of a circuit.
///
/// Choices with equal `part` are one thing that has taps and a trimmer: a coil is one part, tap and trimmer count its
/// positions. What is bought is a part of its own, with tap and trimmer 0.
struct Choice {
  std::optional<network::Element> element;  ///< its place is the slot's; nothing: no part stands there
  std::vector<cdouble> z_ohm{};  ///< impedance at each frequency where the element's model has it not (a tap of a
                                 ///< computed coil); empty: the element's
  std::size_t part = 0, tap = 0, trimmer = 0;
};

/// A part of any value between two limits.
struct PartRange {
  PartKind kind = PartKind::inductor;
  double low = 0.0, high = 0.0;  ///< H or F, 0 < low <= high
  network::Loss loss{};
  double self_capacitance_f = 0.0;  ///< of a coil
  network::Rating rating{};
  bool trimmer = false;  ///< a hand turns it: it moves with Moves::trimmer; false: bought, and stays
};

struct PartList {
  std::vector<Choice> choices;
  std::vector<PartRange> ranges;
};

/// What a person can buy or wind. Of each kind: a series, else a step, else any value; always within the stock's
/// limits.
struct PartSteps {
  PartStock stock{{}, {}, usual_self_capacitance_f};
  network::Rating inductor_rating{}, capacitor_rating{};
  std::optional<ESeries> inductor_series, capacitor_series;
  std::optional<double> inductor_step_h, capacitor_step_f;  ///< whole multiples of it, > 0
  bool inductors = true, capacitors = true;                 ///< kinds that may be used
};

inline constexpr std::size_t most_part_steps = 20000;

/// Coils first, then capacitors, each in rising order; each a part of its own.
/// @throws DomainError  limits that are not 0 < least <= most, a step that is not > 0, more than most_part_steps
///                      values, a loss outside its range
PartList bought_parts(const PartSteps& steps);

/// The part of a range with a value, as an element of a place.
network::Element range_element(const PartRange& range, double value, network::Place place);

}  // namespace stile::match
