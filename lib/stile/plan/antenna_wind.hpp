#pragma once
// Wind on the whips and poles of a station, beside what he who carries them holds.

#include <vector>

#include <stile/safety/wind.hpp>
#include <stile/station/station.hpp>

namespace stile::plan {

/// One an antenna of wires that an arrangement uses, in the station's order, with its pole and the station's [wind];
/// empty where nothing is carried.
///
/// @param station  its loads solved
std::vector<safety::AntennaWind> antenna_winds(const station::Station& station);

}  // namespace stile::plan
