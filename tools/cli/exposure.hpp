#pragma once
// A field beside a published level, what goes into a body and what is touched, as every tool writes it.

#include <cstdint>
#include <string>
#include <vector>

#include <stile/safety/contact.hpp>
#include <stile/safety/corona.hpp>
#include <stile/safety/record.hpp>
#include <stile/safety/wind.hpp>

#include "cli/command_line.hpp"
#include "cli/json.hpp"

namespace stile::tools {

/// "mode","mode_factor","talk_share","over_s","tune_s","tune_every_s","tuner_s","tuner_every_s".
Json duty_json(const safety::Duty& duty);

/// "where","point_m","condition","e_v_m","h_a_m","standard","group","scope","averaged","level_e_v_m","level_h_a_m","ratio"
/// and what belongs to them; null where there is none.
Json exposure_row_json(const safety::ExposureRow& row);

/// {"standard","group","scope","where","condition","frequency_hz","ratio","meets_with_power_w","meets_with_base_raised_m",
/// "meets_with_base_back_m","meets_with_talk_share","text"}; null: does not meet it, or need not.
Json verdict_json(const safety::Verdict& verdict);

/// [{"where","condition","frequency_hz","standard","group","scope","quantity","averaged","power_share","value","level","ratio",
/// "status","source"}], of a contact with "open_v_rms", with "note" where there is one.
Json body_rows_json(const std::vector<safety::BodyRow>& rows);

/// "in_model","enough_mass_kg","mass_kg", and where a person is in the model what goes into him.
Json body_json(const safety::BodyExposure& body);

/// "terminal_v_peak","hand_ohm","places","left_out","even_gap_jumped_m","tips".
Json contact_json(const safety::Contacts& contacts, double gap_jumped_m, const std::vector<safety::Tip>& tips);

/// One line: the tip that is nearest to where air glows; empty without tips.
std::string tips_text(const std::vector<safety::Tip>& tips, double altitude_m);

/// {"condition","rows","held_nm","person_kg","pack_kg","half_width_m","gust","take_down_beaufort","left_out"}.
Json wind_json(const safety::WindTable& wind, const safety::Stand& stand);

/// Now, or as SOURCE_DATE_EPOCH says: seconds since 1970.
/// @throws UsageError  SOURCE_DATE_EPOCH is no count of seconds
std::int64_t record_seconds();

/// Of a record of this tool's run.
/// @param seconds  of its date
safety::RecordHead record_head(const std::string& tool, const Arguments& arguments,
                               std::vector<safety::RecordInput> inputs, std::int64_t seconds);

}  // namespace stile::tools
