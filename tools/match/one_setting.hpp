#pragma once
// stile-match --one-setting: one set of parts for several loads.

#include <string>
#include <vector>

#include <stile/load/load.hpp>
#include <stile/match/one_setting.hpp>
#include <stile/network/sweep_ratings.hpp>
#include <stile/plots/chart.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

struct OneSettingCase {
  std::vector<double> frequency_hz;
  std::vector<load::Load> loads;
  match::PartSteps steps;
  match::SettingJob job;
  bool to_far_field = false;  ///< radiated shares are stated, or known from the loads' files
  match::OneSetting found;
  network::Ladder ladder;                                     ///< the parts
  std::vector<std::vector<network::Evaluation>> evaluations;  ///< of each load at each frequency
  std::vector<network::HighestStress> stresses;               ///< of each part, over loads and frequencies
  std::string why;                                            ///< why the answer does not hold; empty when it does
  std::vector<safety::Caution> cautions;
};

/// --load, --load-file, --radiated-share and --frequency as often as they are given, the steps of parts, and the
/// search.
/// @param stock  as stated; coils have the usual self-capacitance where none is
/// @throws UsageError, ParseError
OneSettingCase solve_one_setting(const Arguments& arguments, const match::PartStock& stock);

std::string one_setting_json(const OneSettingCase& c);
std::string one_setting_csv(const OneSettingCase& c);
std::string one_setting_text(const OneSettingCase& c);

/// The way from each load, where it fares worst, to the transmitter, with its SWR and loss. @throws UsageError  over 26
/// loads
plots::Chart one_setting_chart(const OneSettingCase& c);

}  // namespace stile::tools
