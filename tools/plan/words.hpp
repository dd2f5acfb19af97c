#pragma once
// How text and page of a plan say its figures.

#include <optional>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>

namespace stile::tools {

/// "tuner", "fixed", "undecided", "none".
std::string choice_name(plan::Choice choice);
/// "delivered", "radiated", "path".
const char* counted_name(plan::Counted counted);

/// One decimal, or "inf".
std::string db(double value);
/// "12.3 (11.0..14.1)".
std::string range_text(double value, const Range& range);
/// "2.1 (1.8..2.4)": S units of dB.
std::string s_range_text(double db, const Range& range_db);
/// "1.28 (1.20..1.95)"; without brackets where nothing is open.
std::string swr_range_text(double swr, const Range& range);
/// As db(), or "not known".
std::string known_db(const std::optional<double>& value);
/// "1.30 kV (1.41 kV)": as stated, and wherever uncertain inputs lie.
std::string voltage_text(double as_stated, double high);
/// Two decimals, or ">100".
std::string swr_text(double swr);
/// "12.5-300.25j" with all its digits.
std::string exact_ohms(cdouble z_ohm);

/// Full power over a power; unknown of an unknown one.
std::optional<double> db_below(double full_w, const std::optional<double>& power_w);

/// Where the watts go, the small ones left out.
std::string budget_text(const plan::ConditionResult& c);
/// "L2 98.02 uH: 1.65 kV peak (rated 3 kV), 288 mA rms, 3.44 W (rated 4 W)" for each part of the match.
std::string stress_text(const plan::ConditionResult& c);

/// "tap 73, rest open, 5 pF across the coil, shunt capacitor 56 pF".
/// @param turns  of the wound coil, 0 where there is none
std::string setting_text(const plan::Setting& setting, double turns);

/// All arrangements of a band, each figure of its own worst normal condition; or a row for each condition. What counts
/// has its range beside it, the last cell says "holds" or "as stated". The first row is the heading.
std::vector<std::vector<std::string>> comparison_rows(const station::Station& station, const plan::BandResult& band,
                                                      bool every_condition);

/// Where the other station stands, in a line; empty without a path.
std::string path_text(const station::Band& band);
/// What the settings of an arrangement are worth: what none can lose less than, or that nothing is proven; empty where
/// none were searched.
std::string proof_text(const plan::ArrangementResult& a);
/// How often a hand is needed, and what accidents do; empty when nothing is known of it.
std::string walking_text(const plan::ArrangementResult& a);

}  // namespace stile::tools
