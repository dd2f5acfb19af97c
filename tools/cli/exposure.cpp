#include "cli/exposure.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdlib>

#include <fmt/core.h>

#include <stile/base/quantity.hpp>

namespace stile::tools {
namespace {

Json json_or_null(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }
Json json_point(wire::Vec3 v) { return Json::array({v.x_m, v.y_m, v.z_m}); }
Json json_range(Range r) { return Json::array({r.low, r.high}); }

/// One word of a POSIX shell.
std::string shell_quoted(const std::string& text) {
  std::string quoted = "'";
  for (const char c : text) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

}  // namespace

Json duty_json(const safety::Duty& duty) {
  return {{"mode", duty.mode},
          {"mode_factor", safety::mode_duty(duty.mode).factor},
          {"talk_share", duty.talk_share},
          {"over_s", duty.over_s},
          {"tune_s", duty.tune_s},
          {"tune_every_s", duty.tune_every_s},
          {"tuner_s", duty.tuner_s},
          {"tuner_every_s", duty.tuner_every_s}};
}

Json exposure_row_json(const safety::ExposureRow& r) {
  Json j{{"where", r.field.where},
         {"point_m", json_point(r.field.point_m)},
         {"condition", r.condition},
         {"frequency_hz", r.frequency_hz},
         {"e_v_m", r.field.e_v_m},
         {"h_a_m", r.field.h_a_m},
         {"e_with_person_v_m", json_or_null(r.field.e_with_person_v_m)},
         {"h_with_person_a_m", json_or_null(r.field.h_with_person_a_m)},
         {"clearance_m", r.field.clearance_m},
         {"standard", r.level.standard},
         {"group", r.level.group},
         {"scope", r.level.scope},
         {"averaged", r.averaged},
         {"power_share", r.power_share},
         {"level_e_v_m", json_or_null(r.level.e_v_m)},
         {"level_h_a_m", json_or_null(r.level.h_a_m)},
         {"ratio", json_or_null(r.ratio)},
         {"status", r.level.status}};
  if (!r.note.empty()) j["note"] = r.note;
  return j;
}

Json verdict_json(const safety::Verdict& v) {
  return {{"standard", v.worst.level.standard},
          {"group", v.worst.level.group},
          {"scope", v.worst.level.scope},
          {"where", v.worst.field.where},
          {"condition", v.worst.condition},
          {"frequency_hz", v.worst.frequency_hz},
          {"ratio", json_or_null(v.worst.ratio)},
          {"meets_with_power_w", v.power_w},
          {"meets_with_base_raised_m", json_or_null(v.raise_m)},
          {"meets_with_base_back_m", json_or_null(v.back_m)},
          {"meets_with_talk_share", json_or_null(v.talk_share)},
          {"text", v.text}};
}

Json body_rows_json(const std::vector<safety::BodyRow>& all) {
  Json rows = Json::array();
  for (const safety::BodyRow& r : all) {
    Json row{{"where", r.where},
             {"condition", r.condition},
             {"frequency_hz", r.frequency_hz},
             {"standard", r.standard},
             {"group", r.group},
             {"scope", r.scope},
             {"quantity", r.quantity},
             {"averaged", r.averaged},
             {"power_share", r.power_share},
             {"value", json_or_null(r.value)},
             {"level", r.level},
             {"ratio", json_or_null(r.ratio)},
             {"status", r.status},
             {"source", r.source}};
    if (r.open_v_rms) row["open_v_rms"] = *r.open_v_rms;
    if (!r.note.empty()) row["note"] = r.note;
    rows.push_back(std::move(row));
  }
  return rows;
}

Json body_json(const safety::BodyExposure& b) {
  Json j{{"in_model", b.in_model}, {"enough_mass_kg", b.enough_mass_kg}, {"mass_kg", b.mass_kg}};
  if (!b.in_model) return j;
  j["contact"] = b.contact;
  j["person_w"] = b.person_w;
  j["person_range_w"] = json_range(b.person_range_w);
  j["whole_body_w_kg"] = b.whole_body_w_kg;
  j["whole_body_range_w_kg"] = json_range(b.whole_body_range_w_kg);
  j["limbs"] = Json::array();
  for (const safety::LimbCurrent& l : b.limbs) {
    j["limbs"].push_back({{"where", l.where},
                          {"current_a_rms", l.current_a_rms},
                          {"current_range_a", json_range(l.current_range_a)},
                          {"indicative_sar_10g_w_kg", l.sar_10g_w_kg},
                          {"indicative_sar_10g_range_w_kg", json_range(l.sar_10g_range_w_kg)}});
  }
  j["both_feet_a_rms"] = b.both_feet_a_rms;
  j["both_feet_range_a"] = json_range(b.both_feet_range_a);
  j["spread_left_out"] = b.left_out;
  return j;
}

Json contact_json(const safety::Contacts& contacts, double gap_jumped_m, const std::vector<safety::Tip>& tips) {
  Json places = Json::array(), ends = Json::array();
  for (const safety::Contact& k : contacts.places) {
    places.push_back({{"where", k.where},
                      {"point_m", json_point(k.point_m)},
                      {"open_v_rms", k.open_v_rms},
                      {"short_a_rms", k.short_a_rms},
                      {"contact_a_rms", k.contact_a_rms}});
  }
  for (const safety::Tip& t : tips) {
    ends.push_back({{"where", t.where},
                    {"v_peak", t.v_peak},
                    {"radius_m", t.radius_m},
                    {"smooth_onset_v_peak", t.smooth_onset_v_peak},
                    {"cut_onset_v_peak", t.cut_onset_v_peak}});
  }
  return {{"terminal_v_peak", contacts.terminal_v_peak},
          {"hand_ohm", contacts.hand_ohm},
          {"places", std::move(places)},
          {"left_out", contacts.left_out},
          {"even_gap_jumped_m", gap_jumped_m},
          {"tips", std::move(ends)}};
}

std::string tips_text(const std::vector<safety::Tip>& tips, double altitude_m) {
  const auto worst = std::max_element(tips.begin(), tips.end(), [](const safety::Tip& a, const safety::Tip& b) {
    return a.v_peak / a.cut_onset_v_peak < b.v_peak / b.cut_onset_v_peak;
  });
  if (worst == tips.end()) return "";
  const auto volts = [](double v) { return print_quantity(v, Unit::volt, 3); };
  return fmt::format(
      "Corona (indicative): {} stands at up to {} peak. At {:g} m of altitude air glows at an end rounded to its "
      "radius of {} from {} on, not below; at a cut edge of {} radius (assumed), perhaps from {} on{}.",
      worst->where, volts(worst->v_peak), altitude_m, print_quantity(worst->radius_m, Unit::metre, 3),
      volts(worst->smooth_onset_v_peak), print_quantity(safety::cut_radius_m, Unit::metre, 2),
      volts(worst->cut_onset_v_peak),
      worst->v_peak > worst->cut_onset_v_peak ? ": round the end or put a ball on it" : "");
}

Json wind_json(const safety::WindTable& wind, const safety::Stand& stand) {
  Json rows = Json::array();
  for (const safety::WindRow& r : wind.rows) {
    rows.push_back({{"beaufort", r.force.number},
                    {"speed_m_s", r.speed_m_s},
                    {"force_n", r.force_n},
                    {"pack_moment_nm", r.pack_moment_nm},
                    {"counterweight_kg", r.counterweight_kg},
                    {"foot_moment_nm", r.foot_moment_nm}});
  }
  return {{"condition", wind.condition}, {"rows", std::move(rows)},
          {"held_nm", wind.held_nm},     {"person_kg", stand.person_kg},
          {"pack_kg", stand.pack_kg},    {"half_width_m", stand.half_width_m},
          {"gust", stand.gust},          {"take_down_beaufort", wind.take_down},
          {"left_out", wind.left_out}};
}

std::int64_t record_seconds() {
  const char* epoch = std::getenv("SOURCE_DATE_EPOCH");
  if (!epoch)
    return std::chrono::duration_cast<std::chrono::seconds>(std::chrono::system_clock::now().time_since_epoch())
        .count();
  std::int64_t seconds = 0;
  const std::string_view text(epoch);
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), seconds);
  if (error != std::errc() || end != text.data() + text.size() || seconds < 0 || seconds > 253402300799)
    throw UsageError(fmt::format(
        "SOURCE_DATE_EPOCH \"{}\" is no date for the record; legal: seconds since 1970, 0 to 253402300799", text));
  return seconds;
}

safety::RecordHead record_head(const std::string& tool, const Arguments& arguments,
                               std::vector<safety::RecordInput> inputs, std::int64_t seconds) {
  safety::RecordHead head;
  head.seconds = seconds;
  head.program = version_text(tool);
  head.command = tool;
  for (const Argument& a : arguments.in_order()) {
    if (a.option.rfind("--", 0) == 0) head.command += " " + a.option;
    if (!a.text.empty()) head.command += " " + shell_quoted(a.text);
  }
  head.inputs = std::move(inputs);
  return head;
}

}  // namespace stile::tools
