#pragma once
// An arrangement on a band against its loads: figures, limits, and what uncertain inputs leave open. Internal to the
// room.

#include <vector>

#include <stile/plan/detail/settings.hpp>

namespace stile::plan::detail {

/// The worst normal condition at every corner of a grid, row by row, and of every draw.
struct CornerTable {
  std::vector<double> counted_db;
  std::vector<char> holds;
  std::vector<double> drawn_db;  ///< counted_db of each draw, at the frequencies at which settings are searched

  /// The same along each of along_ranges, at the frequencies at which settings are searched.
  struct Line {
    std::vector<double> counted_db;
    std::vector<double>
        excess;  ///< of the SWR over its limit, as a share of it, or of a stress over its rating where that is broken
    std::vector<char> holds;
  };
  std::vector<Line> along;
};

/// The evaluation at the power that the transmitter offers at its SWR.
network::Evaluation evaluate_offered(const station::Transmitter& transmitter, const network::Ladder& ladder,
                                     double frequency_hz, cdouble z_load_ohm);

/// An arrangement on a band with what it takes to look at it once more.
struct Judged {
  ArrangementResult result;
  CornerTable corners;
  std::shared_ptr<const Settings> settings;
};

/// Everything but what sum_up says of all conditions together.
Judged judge(const Case& of, const CornerGrid& grid, const std::vector<Corner>& drawn, const std::vector<Along>& along);

/// One corner more along a range, in place k of its line; the figures of conditions take it in.
void look_along(Judged& judged, std::size_t range, std::size_t k, const Corner& corner);

/// Whether uncertain inputs meet other settings: of a tuner, and of what a hand moves.
bool is_set_anew(const station::Arrangement& arrangement);

/// What has steps or kinks has them between what was tried: a range becomes wider by this at both ends, 8 % of its
/// width; 0 for one without a finite width.
double between_tries(const Range& range);

/// Widens the ranges of budgets and of what parts bear, and of losses where something is set anew. Once, when nothing
/// more is looked at; sums up.
void widen_between_tries(Judged& judged);

/// Figures of the worst condition, whether it holds, and why; anew after look_along.
void sum_up(Judged& judged);

/// "7.1 dB (1.2 S units)".
std::string loss_text(double loss_db);
/// "7.1 dB (1.2 S units; 6.3 to 9.9 dB)": with what uncertain inputs make of it; without where that is less than what
/// is shown.
std::string loss_text(double loss_db, const Range& range_db);
std::string swr_text(double swr);

/// Where an arrangement that holds as stated is farthest from it, wherever inputs lie: the greatest SWR over the limit,
/// else the rating that is broken by most; empty when it holds throughout.
std::string not_throughout(const ArrangementResult& result, double swr_limit);

/// How long one setting of an arrangement holds, and how often a hand must set it anew.
///
/// @param holds  by setting (one a condition) and condition
/// @return  {share of the time of the setting that holds longest, resets an hour}
struct Touches {
  double untouched = 0.0;
  std::optional<double> resets_per_hour;
};

/// Conditions follow one another at random: each comes share/lasts times as often, from any other one as often as that
/// comes. Without mean stays of all conditions with a share resets are not known. One setting that holds in all needs
/// none.
/// @return  nothing when no condition has a share
std::optional<Touches> touches(const std::vector<station::Condition>& conditions,
                               const std::vector<std::vector<char>>& holds);

}  // namespace stile::plan::detail
