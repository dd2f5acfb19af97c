#pragma once
// A tuner file of either kind: banks of relays, or parts that turn.

#include <string>
#include <string_view>
#include <variant>

#include <stile/tuner/continuous.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::station {

/// The table [tuner] of a file. A tuner is a continuous one when [tuner.inductors] has "range" or "taps" in place of
/// "values"; its tables have the keys range (least and most), taps (inductors only), q, q_at, resistance (in series,
/// fixed) and rating, and a T may have differential = true.
/// @throws ParseError  with line and column
std::variant<tuner::Tuner, tuner::ContinuousTuner> read_any_tuner(std::string_view text, const std::string& file);

}  // namespace stile::station
