#pragma once
// What a fixed match may be made of, kind by kind, and what it is at a frequency. Internal to the room.

#include <memory>
#include <optional>
#include <vector>

#include <stile/match/one_setting.hpp>
#include <stile/plan/detail/corner.hpp>
#include <stile/plan/detail/fed_coil.hpp>
#include <stile/plan/detail/switched_coil.hpp>

namespace stile::plan::detail {

/// Everything an arrangement may be set to on a band, its parts at a corner. A new kind of arrangement says here what
/// it is made of, and nowhere else in the room.
///
/// @param loads_ohm  of the conditions, at the design frequency and behind the cable: where a coil that is tapped at
///                   any place is worth looking at
/// @param coil       of an arrangement with a switched one, otherwise nothing
match::SettingSpace space_of(const station::Arrangement& arrangement, const station::Band& band,
                             const std::vector<double>& frequencies_hz, const std::vector<cdouble>& loads_ohm,
                             const CoilOnBand* coil, const Corner& corner);

/// The same with every part of any value that it may have in each condition by itself, and whatever a hand reaches
/// within it: nothing that space_of holds is missing. Nothing where space_of leaves no value out, since all come in
/// steps.
std::optional<match::SettingSpace> space_without_steps(const station::Arrangement& arrangement,
                                                       const station::Band& band,
                                                       const std::vector<double>& frequencies_hz,
                                                       const std::vector<cdouble>& loads_ohm, const CoilOnBand* coil);

/// What stands between the cables of an arrangement without being set: a transformer.
std::vector<network::Element> stated_elements(const station::Arrangement& arrangement);

/// How it is set: the parts, of which a switched coil's are positions.
struct Parts {
  std::size_t circuit = 0;
  std::vector<match::Choice> choices;
  FedPosition fed;  ///< of an autotransformer, which has no choices
};

/// The elements of the match at one frequency, labelled from transmitter to load.
std::vector<network::Element> elements_of(const Parts& parts, const CoilOnBand* coil, double frequency_hz,
                                          const Corner& corner);

/// What a hand reaches from a setting: the same circuit, the parts that stay as they are, at the corner of `space`.
match::SettingSpace reachable(const match::SettingSpace& space, const Parts& from, const Corner& corner);

/// The same circuit with parts of any value, and coils that are tapped anywhere, in 41 values each within a ratio of a
/// setting: to search these finely. Everything else as it is.
match::SettingSpace around(const match::SettingSpace& space, const station::Parts& stock, const Parts& from,
                           double ratio);

}  // namespace stile::plan::detail
