#pragma once
// A plan as text, JSON, CSV and charts.

#include <string>
#include <vector>

#include <stile/plan/band_order.hpp>
#include <stile/plan/far_end.hpp>
#include <stile/plan/frontier.hpp>
#include <stile/plan/own_search.hpp>
#include <stile/plan/plan.hpp>
#include <stile/plan/reach_of_settings.hpp>
#include <stile/plots/chart.hpp>

namespace stile::tools {

/// Everything that a run of the tool has found.
struct Answers {
  const station::Station& station;
  const plan::Plan& plan;
  std::vector<plan::FarEnd> far_ends;
  std::vector<plan::PartsList> parts;
  std::vector<plan::BandOrder> orders;
  std::vector<plan::ResetTrade> trades;
  std::vector<plan::BandFrontier> frontiers;
  std::vector<plan::SettingsReach> reaches;  ///< empty: not asked for
  std::vector<plan::OwnSearch> searches;
};

/// The comparison for people: a table and the verdict for each band, then what it costs, then the cautions.
///
/// @param every_condition  a line for each condition of the wire instead of the worst one
std::string plan_text(const Answers& answers, bool every_condition);

/// Which loads the ground is not varied for; empty: none.
std::string ground_note(const station::Station& station);
/// What the ranks are by where that is not the power towards the other station; empty otherwise.
std::string counted_note(const plan::Plan& plan);

std::string plan_json(const Answers& answers);

/// One row for each band, arrangement and condition; cautions and verdicts as comment lines at the end.
std::string plan_csv(const Answers& answers);

struct NamedChart {
  std::string name;     ///< "budget", "swr-lifted", "match-40-m": a file name without extension
  std::string caption;  ///< what it shows
  std::string
      figures;  ///< where its figures stand: "plan.csv, lines that begin with # budget"; empty: in the picture alone
  plots::Chart chart;
};

/// The charts of a report: the loss budget of each condition, the SWR across the bands in each condition, power by
/// bands, operating time, fields at the person, mass and hands against power, where reaches are known how far loads may
/// wander, and for each band the path of the match that is taken through its parts, in every condition.
std::vector<NamedChart> plan_charts(const Answers& answers);

/// Names of all charts that a plan of this station may have, in their order; its loads as they are read.
std::vector<std::string> chart_names(const station::Station& station);

}  // namespace stile::tools
