#include <stile/station/arrangement_kind.hpp>

#include <algorithm>
#include <array>

namespace stile::station {
namespace {

constexpr std::array<KindDescription, 8> kinds{
    {{.kind = ArrangementKind::tuner, .name = "tuner", .automatic = true, .takes_tuner = true},
     {.kind = ArrangementKind::l_network,
      .name = "L network",
      .takes_parts = true,
      .coil_is_a_part = true,
      .cannot_be = "no L network matches here: the antenna has no resistance"},
     {.kind = ArrangementKind::base_coil,
      .name = "base coil",
      .takes_parts = true,
      .coil_is_a_part = true,
      .cannot_be = "no base coil serves here: the antenna has no resistance",
      .contained_in = ArrangementKind::l_network},
     {.kind = ArrangementKind::switched_coil,
      .name = "switched coil",
      .takes_coil = true,
      .takes_parts = true,
      .cannot_be = "no tap of the coil serves here: the antenna has no resistance"},
     {.kind = ArrangementKind::autotransformer,
      .name = "autotransformer",
      .takes_coil = true,
      .takes_parts = true,
      .fed_at_tap = true,
      .cannot_be = "no taps of the autotransformer serve here: the antenna has no resistance"},
     {.kind = ArrangementKind::series_capacitor,
      .name = "series capacitor",
      .takes_parts = true,
      .cannot_be = "no series capacitor serves here: the antenna has no resistance"},
     {.kind = ArrangementKind::transformer, .name = "transformer", .takes_transformer = true},
     {.kind = ArrangementKind::straight, .name = "straight"}}};

}  // namespace

std::span<const KindDescription> arrangement_kinds() { return kinds; }

const KindDescription& describe_kind(ArrangementKind kind) {
  return *std::find_if(kinds.begin(), kinds.end(), [&](const KindDescription& k) { return k.kind == kind; });
}

}  // namespace stile::station
