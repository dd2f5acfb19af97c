#pragma once
// How many turns a coil gets that is wound with "as many as needed".

#include <functional>
#include <string>

#include <stile/plan/plan.hpp>

namespace stile::plan {

/// The station with the turns of every coil that states none: the number with which arrangements that use it fail on
/// the fewest bands, and of these lose least on the worst band that holds. Tried are whole numbers from two below the
/// first that brings every load to resonance upwards, each judged by a plan of its own with E12 parts beside the coil,
/// an autotransformer's taps at whole turns and nothing uncertain, until three in a row are no better, at most 150.
/// Arrangements that use one coil share it: on a band the best of them counts. With a tap stated for every band the
/// highest of them is the end.
///
/// @param station   its loads solved
/// @param plan      of a station whose turns are all stated: make_plan, or a quick one
/// @param progress  called with a line before each number that is tried; may be empty
station::Station with_turns_found(const station::Station& station,
                                  const std::function<Plan(const station::Station&)>& plan,
                                  const std::function<void(const std::string&)>& progress = {});

}  // namespace stile::plan
