#pragma once
// The kinds of arrangement, each described once: what the station file calls it, which keys it takes, what a plan says.

#include <optional>
#include <span>
#include <string_view>

namespace stile::station {

enum class ArrangementKind {
  tuner,      ///< an automatic tuner sets itself at every frequency and condition
  l_network,  ///< one fixed L network a band
  base_coil,  ///< a coil in series at the whip, and where it helps a part across its transmitter's side; one set a band
  switched_coil,     ///< a coil from stated wire with a tap a band, its L and Q computed, dead turns included
  autotransformer,   ///< such a coil with its start at ground, the transmitter at one tap and the antenna at another
  series_capacitor,  ///< a capacitor in series at the whip, and where it helps a part across, for a whip that is
                     ///< inductive
  transformer,       ///< a transformer of stated ratio between the cables
  straight,          ///< nothing between the cables
};

struct KindDescription {
  ArrangementKind kind = ArrangementKind::straight;
  std::string_view name;           ///< in the station file
  bool automatic = false;          ///< sets itself; the others are set by hand, once or in each condition
  bool takes_tuner = false;        ///< key "tuner"
  bool takes_coil = false;         ///< key "coil"
  bool takes_transformer = false;  ///< key "transformer"
  bool takes_parts = false;        ///< keys "parts", "design_condition" and "trim"
  bool fed_at_tap = false;         ///< key "feed" of its coil's taps: the transmitter has a tap of its own
  bool coil_is_a_part = false;     ///< the plan states its coil by inductance alone, for any winding
  std::string_view cannot_be{};    ///< why, when it is to be set for an antenna without resistance
  /// Set once a band, that kind has all circuits of this one, of the same parts.
  std::optional<ArrangementKind> contained_in{};
};

/// In the order in which messages name them.
std::span<const KindDescription> arrangement_kinds();

/// That of one kind.
const KindDescription& describe_kind(ArrangementKind kind);

}  // namespace stile::station
