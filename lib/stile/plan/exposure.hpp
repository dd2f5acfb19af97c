#pragma once
// Fields at people, what goes into a body and what is touched, for every arrangement of a plan.

#include <functional>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/safety/uses.hpp>
#include <stile/station/station.hpp>

namespace stile::plan {

/// For every band and arrangement: the power that it delivers into its antenna in each condition, at the design
/// frequency and as set there, gives the fields at people, what goes into the person of the wires and what is touched;
/// the worst condition of each place and level is named. Where a hand's contact is a range, its least and its most are
/// conditions of their own, named with their resistance, and so is one contact between each of them and the middle (the
/// geometric mean; above 0 ohm the half): as set for the middle, or, where a tuner or a hand sets anew between
/// conditions, with the transmitter's full power, which is no less than any setting gets in there. The base is moved at
/// that same power. What is not of wires has no currents and no rows.
///
/// The voltage of a coil at the base is the highest along it against its transmitter's end: turns beyond a tap that are
/// left open stand higher than the tap. Its taps and that open end are touched like whip and wires
/// (safety::with_coil_places); at each contact of a hand it is as set for the middle.
///
/// @param station   its loads solved; its [exposure] says which levels count, its [mode] how it transmits, its [body]
/// whose it is
/// @param plan      of this station: its bands and windings are used
/// @param progress  called with a line of text when there is anything to compute, when given
/// @throws DomainError  as safety::use_exposures; a plan of another station
std::vector<safety::UseExposure> plan_exposures(const station::Station& station, const Plan& plan,
                                                const std::function<void(const std::string&)>& progress = {},
                                                unsigned threads = 0);

/// For the cautions: of the arrangements taken, the verdict on the public that is exceeded most, with what is touched
/// and goes through a body; empty without fields.
std::vector<std::string> taken_findings(const Plan& plan);

}  // namespace stile::plan
