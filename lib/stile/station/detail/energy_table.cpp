#include <stile/station/detail/energy_table.hpp>

#include <algorithm>

#include <fmt/core.h>

#include <stile/station/detail/plausible.hpp>

namespace stile::station::detail {
namespace {

template <class Items, class Name>
std::string names_of(const Items& items, const Name& name) {
  std::string text;
  for (const auto& item : items) text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", name(item));
  return text;
}

}  // namespace

safety::Duty mode_from(const TomlTable& table) {
  table.only({"name", "talk", "over", "tune", "tune_every"});
  safety::Duty duty;
  duty.mode = table.text("name");
  const auto& modes = safety::mode_duties();
  if (std::none_of(modes.begin(), modes.end(), [&](const safety::ModeDuty& m) { return m.name == duty.mode; })) {
    table.fault("name", fmt::format("no mode \"{}\"; legal: {}", duty.mode,
                                    names_of(modes, [](const safety::ModeDuty& m) { return m.name; })));
    duty.mode = modes.front().name;
  }
  duty.talk_share = find_plausible(table, "talk", plausible::talk_share).value_or(duty.talk_share);
  duty.over_s = find_plausible(table, "over", plausible::over).value_or(duty.over_s);
  duty.tune_s = find_plausible(table, "tune", plausible::mode_tune).value_or(duty.tune_s);
  if (const auto every = find_plausible(table, "tune_every", plausible::mode_tune_every)) {
    duty.tune_every_s = *every;
    if (!(duty.tune_s > 0.0))
      table.fault("tune_every", "\"tune_every\" is from one tune carrier to the next; legal: beside \"tune\"");
  }
  if (duty.tune_s > duty.tune_every_s) {
    table.fault("tune", fmt::format("a tune carrier of {:.4g} s every {:.4g} s; legal: no longer than \"tune_every\"",
                                    duty.tune_s, duty.tune_every_s));
    duty.tune_s = duty.tune_every_s;
  }
  return duty;
}

Supply supply_from(const TomlTable& battery, const TomlTable& transmitter, const safety::Duty& mode) {
  battery.only({"chemistry", "capacity_ah", "rate_h", "exponent", "temperature", "cut_off", "mass", "size"});
  Supply supply;
  const std::string name = battery.text("chemistry");
  const auto all = energy::chemistries();
  auto known = std::find_if(all.begin(), all.end(), [&](const auto& c) { return c.name == name; });
  const bool chemistry_known = known != all.end();
  if (!chemistry_known) {
    battery.fault("chemistry", fmt::format("no chemistry \"{}\"; legal: {}", name,
                                           names_of(all, [](const auto& c) { return c.name; })));
    known = all.begin();  // so that the rest can be read
  }
  energy::Battery& b = supply.battery;
  b.chemistry = known->chemistry;
  b.capacity_ah = plausible_value(battery, "capacity_ah", plausible::battery_capacity_ah);
  b.rate_h = find_plausible(battery, "rate_h", plausible::battery_rate_h).value_or(known->rate_h);
  b.peukert_exponent = known->peukert_exponent;
  if (battery.is_array("exponent")) {
    const std::vector<double> ends = plausible_values(battery, "exponent", plausible::peukert_exponent);
    if (ends.size() != 2 || ends[0] > ends[1])
      battery.fault("exponent", "\"exponent\" must be one value or two, the least and the most");
    b.peukert_exponent = {ends.front(), ends.back()};
  } else if (const auto one = find_plausible(battery, "exponent", plausible::peukert_exponent)) {
    b.peukert_exponent = {*one, *one};
  }
  supply.temperature_c = find_plausible(battery, "temperature", plausible::battery_temperature_c).value_or(20.0);
  b.capacity_share = energy::capacity_share(b.chemistry, supply.temperature_c);
  supply.cut_off_v = find_plausible(battery, "cut_off", plausible::battery_cut_off);
  if (supply.cut_off_v && chemistry_known && *supply.cut_off_v > known->most_cut_off_v)
    battery.fault(
        "cut_off",
        fmt::format(
            "what a {} battery holds above {:.3g} V under load is not known; legal: a cut-off of at most {:.3g} V",
            known->name, known->most_cut_off_v, known->most_cut_off_v));
  else if (supply.cut_off_v && chemistry_known) {
    const Range given = energy::share_at_cut_off(b.chemistry, *supply.cut_off_v);
    b.capacity_share = {b.capacity_share.low * given.low, b.capacity_share.high * given.high};
  }
  supply.mass_kg = find_plausible(battery, "mass", plausible::mass);
  supply.volume_m3 = find_box_m3(battery, "size");
  if (supply.volume_m3 && !supply.mass_kg)
    battery.fault("size", "\"size\" is that of what has the \"mass\"; legal: beside \"mass\"");
  supply.set.receive_a = plausible_value(transmitter, "receive_current", plausible::set_current);
  supply.set.transmit_a = plausible_value(transmitter, "transmit_current", plausible::set_current);
  if (!(supply.set.transmit_a > supply.set.receive_a))
    transmitter.fault("transmit_current", "the transmit current must be above the receive current");
  supply.set.current_factor = energy::current_factor(mode.mode);
  supply.set.talk_share = mode.talk_share;
  return supply;
}

energy::TunerDraw tuner_draw_from(const TomlTable& table) {
  table.only({"hold", "tune", "tune_time", "tunes_an_hour", "carrier", "power", "least_power", "latching"});
  energy::TunerDraw draw;
  draw.hold_a = find_plausible(table, "hold", plausible::tuner_current).value_or(0.0);
  draw.tune_a = find_plausible(table, "tune", plausible::tuner_current).value_or(0.0);
  draw.tune_time_s = find_plausible(table, "tune_time", plausible::tune_time).value_or(0.0);
  draw.tunes_per_h = find_plausible(table, "tunes_an_hour", plausible::tunes_an_hour).value_or(0.0);
  draw.carrier_share = find_plausible(table, "carrier", plausible::tune_carrier).value_or(1.0);
  if (draw.tune_time_s * draw.tunes_per_h > 3600.0)
    table.fault("tunes_an_hour",
                fmt::format("{:.4g} tunings of {:.4g} s do not fit into an hour", draw.tunes_per_h, draw.tune_time_s));
  return draw;
}

}  // namespace stile::station::detail
