#pragma once
// What of an arrangement a hand moves where it stands, instead of exchanging it. Internal to the room.

#include <stile/station/station.hpp>

namespace stile::plan::detail {

/// The coil's own tap, or that of every inductor: one that is bought from a series has none.
inline bool moves_tap(const station::Arrangement& a) {
  return (a.trim == station::Trim::tap || a.trim == station::Trim::tap_and_trimmer) &&
         (station::describe_kind(a.kind).takes_coil || !a.parts.inductor_series);
}

/// The coil's trimmer where it has one, or every capacitor that is none of a series.
inline bool moves_trimmer(const station::Arrangement& a) {
  return (a.trim == station::Trim::trimmer || a.trim == station::Trim::tap_and_trimmer) &&
         (station::describe_kind(a.kind).takes_coil ? a.coil.trimmer_f > 0.0 : !a.parts.capacitor_series);
}

/// The same of a part beside a switched coil, or of any part of another arrangement.
inline bool moves_part(const station::Arrangement& a, bool inductor) {
  return !station::describe_kind(a.kind).takes_coil && (inductor ? moves_tap(a) : moves_trimmer(a));
}

}  // namespace stile::plan::detail
