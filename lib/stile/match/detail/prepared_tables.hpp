#pragma once
// A space of settings with the impedances of all its parts. Internal to the room.

#include <cstddef>
#include <vector>

#include <stile/match/detail/setting_boxes.hpp>
#include <stile/match/detail/setting_search.hpp>
#include <stile/match/setting_space.hpp>

namespace stile::match {
namespace detail {

/// What may stand in a slot, ranges by values of them.
struct Candidate {
  std::size_t index = 0;  // into the choices, or the ranges
  bool of_range = false;
  double value = 0.0;  // of a range
  std::size_t part = 0, tap = 0, trimmer = 0;
};

struct PreparedCircuit {
  std::size_t index = 0;  // into the space's circuits
  std::size_t slots = 0;
  bool moved = false;                // a hand can choose in it
  std::vector<std::size_t> all;      // otherwise: tables from load to transmitter, every choice within reach
  std::vector<std::size_t> by_hand;  // the same with the classes that a hand reaches
};

/// Impedance of a candidate at frequency number f; infinite where no part stands.
cdouble impedance_of(const PartList& list, const Candidate& candidate, const std::vector<double>& frequency_hz,
                     std::size_t f);

}  // namespace detail

struct PreparedTables {
  std::vector<std::vector<detail::Candidate>> candidates;  // of each list
  std::vector<detail::SlotTable> tables;
  std::vector<detail::PreparedCircuit> circuits;  // those of fewer parts first
  bool continuous = false;
  std::vector<std::vector<detail::BoxSlot>> boxes;  // of the circuits, when continuous
};

}  // namespace stile::match
