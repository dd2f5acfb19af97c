#pragma once
// Settings of a plan as those of a coil, whether it is wound in the station or stated by its inductance. Internal to the room.

#include <string>
#include <utility>
#include <vector>

#include <stile/plan/coil_prescription.hpp>

namespace stile::plan::detail {

/// What the plan says of an arrangement on a band in a condition, the coil's own figures left out.
CoilSetting coil_setting(const station::Station& station, const station::Arrangement& arrangement,
                         const BandResult& band, const ConditionResult& result, std::size_t condition);

/// How far a setting is from holding: an SWR over the limit goes before a rating, as in the plan's own reason.
std::pair<double, double> how_far(const CoilSetting& setting, const ConditionResult& result, double swr_limit);

/// Why a setting does not hold.
std::string fault(const CoilSetting& setting, const ConditionResult& result, const station::Arrangement& arrangement,
                  double swr_limit);

/// @param conditions  how many count: a band that a place serves in all of them is named alone
std::vector<CoilTap> taps_of(const std::vector<CoilSetting>& settings, std::size_t conditions);

}  // namespace stile::plan::detail
