#pragma once
// Everything that may be set between transmitter and load: circuits, and what may stand in their places.

#include <cstddef>
#include <memory>
#include <vector>

#include <stile/match/part_steps.hpp>

namespace stile::match {

/// What a hand moves between conditions; everything else is chosen once for all of them.
enum class Moves {
  once,             ///< nothing
  tap,              ///< among choices of equal part and trimmer
  trimmer,          ///< among choices of equal part and tap
  tap_and_trimmer,  ///< among choices of equal part
  each_condition,   ///< everything is set anew: any circuit with any parts
};

struct Slot {
  network::Place place = network::Place::series;  ///< series or shunt
  std::size_t list = 0;                           ///< index into SettingSpace::lists
};

/// Everything that may be set. A setting is one circuit with one choice in each of its slots.
struct SettingSpace {
  std::vector<double> frequency_hz;         ///< of the part in use; > 0, not empty
  std::vector<PartList> lists;              ///< what may stand in slots
  std::vector<std::vector<Slot>> circuits;  ///< slots from transmitter to load; no slots: the straight connection
  Moves moves = Moves::once;
};

/// The straight connection, one part in series or across, and L networks of two parts in both orientations; coil and
/// capacitor in every place.
/// @throws DomainError  as bought_parts
SettingSpace l_network_space(std::vector<double> frequency_hz, const PartSteps& steps, Moves moves = Moves::once);

struct PreparedTables;

/// A space with the impedances of all its parts: made once, used for any number of loads, never changed.
struct PreparedSpace {
  SettingSpace space;
  std::shared_ptr<const PreparedTables> tables;
};

/// @throws DomainError  no circuit, a list that is not there, a place other than series and shunt, a frequency or a
///                      part outside its range, z_ohm of another length than the frequencies
PreparedSpace prepare_space(SettingSpace space);

}  // namespace stile::match
