#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include <station/bench_station.hpp>
#include <station/one_change.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/station.hpp>

#include "temporary_folder.hpp"

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

const std::string example = std::string(STILE_TEST_DATA) + "/../../examples/moor/station.toml";

Station read(const std::string& text, const std::string& folder = ".") {
  return read_station(text, "bench.toml", folder);
}

std::string message(const std::string& text, const std::string& folder = ".") {
  return parse_error([&] { read(text, folder); });
}

void check_rows(const std::vector<Change>& changes) {
  for (const Change& c : changes) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    CHECK(message(changed(bench_station, c.find, c.replace)) == "bench.toml:" + c.message);
  }
}

/// Files in a folder of their own.
struct Folder : stile::temporary::Folder {
  void write(const std::string& file, const std::string& text) const {
    std::ofstream(path() / file, std::ios::binary) << text;
  }
};

/// The bench station with its first load from a file.
std::string with_file(const std::string& keys) { return changed(bench_station, "impedance = \"14-230j ohm\"", keys); }

constexpr const char* sweep = "frequency_hz,r_ohm,x_ohm\n6900000,14,-240\n7100000,14,-230\n7300000,15,-220\n13900000,"
                              "30,-90\n14200000,31,-85\n14400000,32,-80\n";
constexpr const char* shares = "frequency_hz,far_field_power_over_input,metal_loss_over_input\n6900000,0.1,0."
                               "05\n7100000,0.1,0.05\n7300000,0.1,0.05\n"
                               "13900000,0.2,0.05\n14200000,0.2,0.05\n14400000,0.2,0.05\n";

}  // namespace

TEST_CASE("every value of a station file arrives in SI at its place") {
  const Station s = read(bench_station);
  CHECK(s.name == "bench");
  CHECK(s.note == "three conditions");
  CHECK_FALSE(s.whip_on_body);
  CHECK(s.transmitter.source.power_w == 5.0);
  CHECK(s.transmitter.source.z_ohm == cdouble(50.0, 0.0));
  CHECK(s.transmitter.swr_limit == 2.0);
  REQUIRE(s.transmitter.foldback.size() == 2);
  CHECK(s.transmitter.foldback[1].swr == 3.0);
  CHECK(s.transmitter.foldback[1].power_w == 2.0);

  REQUIRE(s.bands.size() == 2);
  CHECK(s.bands[0].name == "40 m");
  CHECK(s.bands[0].low_hz == 7.0e6);
  CHECK(s.bands[0].high_hz == 7.2e6);
  CHECK(s.bands[0].use_low_hz == 7.05e6);
  CHECK(s.bands[0].use_high_hz == 7.15e6);
  CHECK(s.bands[0].design_hz == 7.1e6);
  CHECK(s.bands[1].use_low_hz == 14.0e6);  // the whole band when "use" is not given
  CHECK(s.bands[1].use_high_hz == 14.35e6);
  CHECK(s.bands[1].design_hz == 14.175e6);  // the middle of the part in use

  REQUIRE(s.conditions.size() == 2);
  CHECK(s.conditions[0].name == "dry");
  CHECK(load::load_impedance(s.antennas[0].loads[0].load, 7e6) == cdouble(14.0, -230.0));
  const auto& whip = std::get<load::WhipModel>(s.antennas[0].loads[1].load.model);
  CHECK(whip.radiation_ohm == 1.0);
  CHECK(whip.radiation_at_hz == 7e6);
  CHECK(whip.capacitance_f == 25e-12);
  CHECK(whip.inductance_h == 1e-6);
  CHECK(whip.ground_ohm == 20.0);
  CHECK(whip.metal_ohm == 0.5);
  CHECK(whip.metal_at_hz == 7e6);

  REQUIRE(s.arrangements.size() == 3);
  const Arrangement& tuned = s.arrangements[0];
  CHECK(tuned.kind == ArrangementKind::tuner);
  REQUIRE(tuned.cable_before);
  CHECK(tuned.cable_before->name == "lead");
  CHECK(tuned.cable_before->line.length_m == 0.8);
  CHECK(std::get<network::Cable>(tuned.cable_before->line.per_metre).name == "RG-174");
  REQUIRE(tuned.cable_after);
  const network::Cable& own = std::get<network::Cable>(tuned.cable_after->line.per_metre);
  CHECK(own.name == "own");
  CHECK(own.z0_ohm == 50.0);
  CHECK(own.velocity_factor == 0.66);
  CHECK(std::abs(network::attenuation_db_per_m(own, 10e6) - 0.046) <= 1e-15);
  CHECK(tuned.tuner.name == "small");
  CHECK(tuned.tuner.contact_ohm == 0.05);
  CHECK(tuned.tuner.inductors.values_h == std::vector{0.2e-6, 0.8e-6, 3.2e-6});
  CHECK(tuned.tuner.inductors.loss.q == 100.0);
  CHECK(tuned.tuner.inductors.loss.q_at_hz == 7e6);
  CHECK(tuned.tuner.inductors.stray_h == 0.1e-6);
  CHECK(tuned.tuner.inductor_rating.voltage_v_peak == 1000.0);
  CHECK(tuned.tuner.capacitors.values_f == std::vector{40e-12, 160e-12});
  CHECK(tuned.tuner.capacitors.loss.q == 900.0);
  CHECK(tuned.tuner.capacitors.loss.q_at_hz == 0.0);
  CHECK(tuned.tuner.capacitors.stray_f == 10e-12);

  CHECK(s.arrangements[1].kind == ArrangementKind::l_network);
  CHECK(s.arrangements[1].design_condition == "wet");
  CHECK(s.arrangements[1].trim == Trim::once);
  CHECK(s.arrangements[2].kind == ArrangementKind::base_coil);
  CHECK(s.arrangements[2].trim == Trim::tap_and_trimmer);
  CHECK_FALSE(s.arrangements[2].cable_before);
  CHECK(s.uncertainty.q == 0.1);
  CHECK(s.uncertainty.ground == 0.5);
}

TEST_CASE("parts of an arrangement replace those of the file key by key") {
  const Station s = read(bench_station);
  const Parts& shelf = s.arrangements[2].parts;
  CHECK(shelf.stock.inductor_loss.q == 200.0);
  CHECK(shelf.stock.inductor_loss.q_at_hz == 7e6);
  CHECK(shelf.stock.inductor_loss.series_ohm == 0.1);
  CHECK(shelf.stock.inductor_self_capacitance_f == 1e-12);
  CHECK(shelf.stock.capacitor_loss.q == 1000.0);
  CHECK(shelf.stock.capacitor_loss.series_ohm == 0.02);
  CHECK(shelf.stock.capacitor_loss.loss_tangent == 0.001);
  CHECK(shelf.inductor_rating.voltage_v_peak == 2000.0);
  CHECK(shelf.inductor_rating.current_a_rms == 1.0);
  CHECK(shelf.inductor_rating.dissipation_w == 3.0);
  CHECK(shelf.capacitor_rating.voltage_v_peak == 500.0);
  CHECK(std::isinf(shelf.capacitor_rating.current_a_rms));
  CHECK(shelf.inductor_series == match::ESeries::e12);
  CHECK(shelf.capacitor_series == match::ESeries::e24);

  const Parts& own = s.arrangements[1].parts;
  CHECK(own.stock.inductor_loss.q == 250.0);  // its own
  CHECK(own.capacitor_series == match::ESeries::e12);
  CHECK(own.stock.inductor_loss.q_at_hz == 7e6);  // from [parts]
  CHECK(own.stock.inductor_loss.series_ohm == 0.1);
  CHECK(own.inductor_series == match::ESeries::e12);
  CHECK(own.inductor_rating.dissipation_w == 3.0);
  CHECK(own.capacitor_rating.voltage_v_peak == 500.0);

  const Station other =
      read(changed(bench_station, "parts = { inductor_q = 250,", "parts = { inductor_rating = { current = 2 },"));
  CHECK(other.arrangements[1].parts.inductor_rating.current_a_rms == 2.0);
  CHECK(std::isinf(other.arrangements[1].parts.inductor_rating.voltage_v_peak));  // a rating is stated whole
}

TEST_CASE("keys that may be left out have their stated values") {
  const Station s =
      read("[station]\nname = \"a\"\n[transmitter]\npower = 10\n[[band]]\nname = \"b\"\nlow = 7e6\nhigh = 8e6\n"
           "[[load]]\ncondition = \"c\"\nimpedance = 50\n[[arrangement]]\nname = \"d\"\nkind = \"straight\"\n");
  CHECK(s.note.empty());
  CHECK(s.whip_on_body);
  CHECK(s.transmitter.source.z_ohm == cdouble(50.0, 0.0));
  CHECK(s.transmitter.swr_limit == 2.0);
  CHECK(s.transmitter.foldback.empty());
  CHECK(s.uncertainty.q == 0.15);
  CHECK(s.uncertainty.ground == 0.4);
  CHECK(s.bands[0].design_hz == 7.5e6);
  CHECK(s.uncertainty.lengths == 0.0);
  CHECK(s.uncertainty.contact_ohm.high == 0.0);
  CHECK(s.uncertainty.temperature_c.low == 20.0);
  CHECK(s.uncertainty.temperature_c.high == 20.0);
  CHECK(s.decision.audible_db == 1.0);
  CHECK(s.exposure.body.mass_kg == 75.0);
  CHECK(s.exposure.body.hand_ohm == 300.0);
  CHECK(s.exposure.body.altitude_m == 0.0);
  CHECK(s.exposure.stand.person_kg == 75.0);
  CHECK(s.exposure.stand.pack_kg == 8.0);
  CHECK(s.exposure.stand.half_width_m == 0.15);
  CHECK(s.exposure.stand.gust == 1.5);
  CHECK(s.exposure.duty.mode == "carrier");
  CHECK(s.exposure.duty.over_s == 60.0);
  CHECK(s.exposure.duty.tune_every_s == 360.0);
  CHECK_FALSE((s.mode || s.supply || s.contacts || s.hands.tap_s || s.hands.trimmer_s || s.hands.part_s));
}

TEST_CASE("of a table with a part of its keys the others have what they have without the table") {
  const std::string bare =
      "[station]\nname = \"a\"\n[transmitter]\npower = 10\n[[band]]\nname = \"b\"\nlow = 7e6\nhigh = 8e6\n"
      "use = [\"7.2 MHz\", \"7.4 MHz\"]\n[[load]]\ncondition = \"c\"\nimpedance = 50\n[[arrangement]]\nname = "
      "\"d\"\nkind = \"straight\"\n";
  CHECK(read(bare).bands[0].design_hz == 7.3e6);  // the middle of what is used, not of the band
  CHECK(read(bare + "[decision]\n").decision.audible_db == 1.0);
  const safety::BodyFacts mass = read(bare + "[body]\nmass = \"90 kg\"\n").exposure.body,
                          hand = read(bare + "[body]\nhand = \"50 ohm\"\naltitude = \"900 m\"\n").exposure.body;
  CHECK(mass.mass_kg == 90.0);
  CHECK(mass.hand_ohm == 300.0);
  CHECK(mass.altitude_m == 0.0);
  CHECK(hand.mass_kg == 75.0);
  CHECK(hand.hand_ohm == 50.0);
  CHECK(hand.altitude_m == 900.0);
  const safety::Stand pack = read(bare + "[wind]\npack = \"12 kg\"\n[body]\nmass = \"90 kg\"\n").exposure.stand,
                      stand = read(bare + "[wind]\nhalf_width = \"20 cm\"\ngust = 2\n").exposure.stand;
  CHECK(pack.person_kg == 90.0);  // the one whose body it is
  CHECK(pack.pack_kg == 12.0);
  CHECK(pack.half_width_m == 0.15);
  CHECK(pack.gust == 1.5);
  CHECK(stand.person_kg == 75.0);
  CHECK(stand.pack_kg == 8.0);
  CHECK(stand.half_width_m == 0.2);
  CHECK(stand.gust == 2.0);
  const Station pole = read(bare + "[[wind.pole]]\nlength = \"6 m\"\nbase = \"40 mm\"\ntip = \"4 mm\"\n");
  REQUIRE(pole.antennas[0].pole);
  CHECK(pole.antennas[0].pole->length_m == 6.0);
  CHECK(pole.antennas[0].pole->base_diameter_m == 0.04);
  CHECK(pole.antennas[0].pole->tip_diameter_m == 0.004);
  const HandTimes tap = read(bare + "[hands]\ntap = \"9 s\"\n").hands,
                  others = read(bare + "[hands]\ntrimmer = \"4 s\"\npart = \"30 s\"\n").hands;
  CHECK(tap.tap_s == 9.0);
  CHECK_FALSE((tap.trimmer_s || tap.part_s || others.tap_s));
  CHECK(others.trimmer_s == 4.0);
  CHECK(others.part_s == 30.0);
  const ContactMargin sigma = *read(bare + "[contacts]\nmargin = \"7 dB\"\nsigma = \"5 dB\"\n").contacts;
  CHECK(sigma.margin_db == 7.0);
  CHECK(sigma.sigma_db == 5.0);
}

TEST_CASE("a transformer, a winding and a setting have each of their keys at its own place") {
  const auto transformer = [](const std::string& keys) {
    return *read(changed(bench_station, "kind = \"base coil\"\ntrim = \"each condition\"",
                         "kind = \"transformer\"\ntransformer = { turns_ratio = 3" + keys + " }"))
                .arrangements[2]
                .transformer;
  };
  CHECK(transformer("").turns_ratio == 3.0);
  CHECK(transformer("").leakage_h == 0.0);
  CHECK(std::isinf(transformer("").magnetising_h));
  CHECK(std::isinf(transformer("").q));
  const StatedTransformer all = transformer(", leakage = \"0.2 uH\", magnetising = \"20 uH\", q = 30");
  CHECK(all.leakage_h == Approx(0.2e-6).epsilon(1e-12));
  CHECK(all.magnetising_h == Approx(20e-6).epsilon(1e-12));
  CHECK(all.q == 30.0);
  const std::string settings =
      "settings = [{ band = \"40 m\", elements = [{ place = \"series\", kind = \"inductor\", value = \"5 uH\" }, "
      "{ place = \"shunt\", kind = \"capacitor\", value = \"300 pF\" }, { place = \"shunt\", kind = "
      "\"capacitor\", value = \"30 pF\", q = 70, rating = { current = 2 } }] }, { band = \"20 m\", elements = [] }]";
  const StatedSetting setting =
      read(changed(bench_station, "trim = \"each condition\"", settings)).arrangements[2].settings[0];
  REQUIRE(setting.elements.size() == 3);
  // Each kind has losses and rating of its own kind in [parts].
  const auto& coil = std::get<network::Inductor>(setting.elements[0].part);
  CHECK(coil.loss.q == 200.0);
  CHECK(coil.loss.q_at_hz == 7e6);
  CHECK(coil.loss.series_ohm == 0.1);
  CHECK(coil.self_capacitance_f == Approx(1e-12).epsilon(1e-12));
  CHECK(setting.elements[0].rating.dissipation_w == 3.0);
  const auto& capacitor = std::get<network::Capacitor>(setting.elements[1].part);
  CHECK(capacitor.loss.q == 1000.0);
  CHECK(capacitor.loss.series_ohm == 0.02);
  CHECK(capacitor.loss.loss_tangent == 0.001);
  CHECK(setting.elements[1].place == network::Place::shunt);
  CHECK(setting.elements[1].rating.voltage_v_peak == 500.0);
  CHECK(std::isinf(setting.elements[1].rating.dissipation_w));
  CHECK(std::get<network::Capacitor>(setting.elements[2].part).loss.q == 70.0);
  CHECK(setting.elements[2].rating.current_a_rms == 2.0);
  CHECK(std::isinf(setting.elements[2].rating.voltage_v_peak));
}

TEST_CASE("the loss in the ground is between what is stated, and under a short wire that lies as was measured") {
  Uncertainty u;
  u.ground = 0.3;
  CHECK(ground_factors(u, false).low == 0.7);
  CHECK(ground_factors(u, false).high == 1.3);
  CHECK(ground_factors(u, true).low == 0.7);
  CHECK(ground_factors(u, true).high == 5.0);  // measured once: 2 to 5 times
  u.ground = 0.0;                              // certain: somebody knows the place
  CHECK(ground_factors(u, true).high == 1.0);
  u.ground_factor = Range{0.6, 2.5};
  CHECK(ground_factors(u, true).low == 0.6);
  CHECK(ground_factors(u, true).high == 2.5);
}

TEST_CASE("a tuner that is not named is the first of the file") {
  const std::string text = changed(bench_station, "tuner = \"small\"\n", "");
  CHECK(read(text).arrangements[0].tuner.name == "small");
}

TEST_CASE("a single table counts as a row of one") {
  const Station s = read(changed(bench_station, "[[tuner]]", "[tuner]"));
  CHECK(s.arrangements[0].tuner.name == "small");
}

TEST_CASE("an unknown key is refused in every kind of table") {
  check_rows({
      {"[station]\n", "colour = \"red\"\n[station]\n",
       "1:1: unknown key \"colour\" in the file; legal: station, transmitter, band, load, antenna, condition, "
       "path, cable, coil, parts, tuner, arrangement, uncertainty, decision, mode, battery, exposure, "
       "contacts, hands, body, wind"},
      {"note = \"three conditions\"", "notes = \"three conditions\"",
       "3:1: unknown key \"notes\" in [station]; legal: name, note, whip_on_body"},
      {"swr_limit = 2\n", "swr_limits = 2\n",
       "9:1: unknown key \"swr_limits\" in [transmitter]; legal: power, impedance, swr_limit, foldback, "
       "receive_current, transmit_current"},
      {"{ swr = 3, power = \"2 W\" }", "{ swr = 3, power = \"2 W\", at = 1 }",
       "10:67: unknown key \"at\" in [[transmitter.foldback]] 2; legal: swr, power"},
      {"design = \"7.1 MHz\"", "designs = \"7.1 MHz\"",
       "17:1: unknown key \"designs\" in [[band]] 1; legal: name, low, high, use, design"},
      {"note = \"by a model\"", "colour = \"by a model\"",
       "30:1: unknown key \"colour\" in [[load]] 2; legal: condition, file, shares, impedance, whip, wires, "
       "wires_condition, ground, bridge_gaps, lying_wire, note"},
      {"metal_at = \"7 MHz\"", "metal_at = \"7 MHz\"\nlength = \"3 m\"",
       "39:1: unknown key \"length\" in [[load]] 2 whip; legal: radiation, radiation_at, capacitance, inductance, "
       "ground, metal, metal_at"},
      {"type = \"RG-174\"", "type = \"RG-174\"\nloss = 1",
       "42:1: unknown key \"loss\" in [cable.lead]; legal: type, length, impedance, velocity_factor, attenuation"},
      {"loss = \"4.6 dB\", length", "loss = \"4.6 dB\", q = 3, length",
       "48:50: unknown key \"q\" in [[cable.own.attenuation]] 1; legal: at, loss, length"},
      {"inductor_q = 200", "inductors_q = 200",
       "51:1: unknown key \"inductors_q\" in [parts]; legal: inductor_q, inductor_q_at, inductor_resistance, "
       "inductor_self_capacitance, inductor_rating, inductor_series, capacitor_q, capacitor_resistance, "
       "capacitor_loss_tangent, capacitor_rating, capacitor_series, inductor_step, capacitor_step, inductor_range, "
       "capacitor_range"},
      {"current = \"1 A\"", "amperes = \"1 A\"",
       "55:39: unknown key \"amperes\" in [parts.inductor_rating]; legal: voltage, current, power"},
      {"contact_resistance = \"0.05 ohm\"", "contact = \"0.05 ohm\"",
       "67:1: unknown key \"contact\" in [[tuner]] 1; legal: name, form, capacitor_side, contact_resistance, "
       "inductors, capacitors, load_capacitors, load_inductors"},
      {"stray = \"0.1 uH\"", "strays = \"0.1 uH\"",
       "72:1: unknown key \"strays\" in [[tuner]] 1 inductors; legal: values, q, q_at, stray, open_contact, part_q, "
       "part_voltage, part_current, part_power, rating"},
      {"stray = \"10 pF\"", "strays = \"10 pF\"",
       "77:1: unknown key \"strays\" in [[tuner]] 1 capacitors; legal: values, q, q_at, stray, open_contact, part_q, "
       "part_voltage, part_current, part_power, rating"},
      {"rating = { voltage = \"1 kV\" }\n", "rating = { volts = \"1 kV\" }\n",
       "73:12: unknown key \"volts\" in [[tuner]] 1 inductors rating; legal: voltage, current, power"},
      {"trim = \"each condition\"", "trims = \"each condition\"",
       "95:1: unknown key \"trims\" in [[arrangement]] 3; legal: name, kind, antenna, cable_before, cable_after, "
       "tuner, coil, transformer, parts, design_condition, trim, settings, mass, size, supply, carried, whip"},
      {"parts = { inductor_q = 250,", "parts = { q = 250,",
       "89:11: unknown key \"q\" in [[arrangement]] 2 parts; legal: inductor_q, inductor_q_at, inductor_resistance, "
       "inductor_self_capacitance, inductor_rating, inductor_series, capacitor_q, capacitor_resistance, "
       "capacitor_loss_tangent, capacitor_rating, capacitor_series, inductor_step, capacitor_step, inductor_range, "
       "capacitor_range"},
      {"q = 0.1\n", "q = 0.1\nsoil = 0.2\n",
       "99:1: unknown key \"soil\" in [uncertainty]; legal: q, ground, contact, temperature, lengths"},
  });
}

TEST_CASE("a missing key or table is named at its table") {
  check_rows({
      {"[station]\nname = \"bench\"\nnote = \"three conditions\"\nwhip_on_body = false\n", "",
       "1:1: the file needs the table [station]"},
      {"name = \"bench\"\n", "", "1:1: [station] needs the key \"name\""},
      {"power = \"5 W\"\n", "", "6:1: [transmitter] needs the key \"power\""},
      {"{ swr = 3, power = \"2 W\" }", "{ power = \"2 W\" }",
       "10:41: [[transmitter.foldback]] 2 needs the key \"swr\""},
      {"{ swr = 3, power = \"2 W\" }", "{ swr = 3 }", "10:41: [[transmitter.foldback]] 2 needs the key \"power\""},
      {"name = \"20 m\"\n", "", "19:1: [[band]] 2 needs the key \"name\""},
      {"low = \"14.0 MHz\"\n", "", "19:1: [[band]] 2 needs the key \"low\""},
      {"high = \"14.35 MHz\"\n", "", "19:1: [[band]] 2 needs the key \"high\""},
      {"condition = \"dry\"\n", "", "24:1: [[load]] 1 needs the key \"condition\""},
      {"impedance = \"14-230j ohm\"\n", "",
       "25:13: [[load]] 1 needs exactly one of the keys \"file\", \"impedance\", \"whip\", \"wires\""},
      {"radiation = \"1 ohm\"\n", "", "31:1: [[load]] 2 whip needs the key \"radiation\""},
      {"radiation_at = \"7 MHz\"\n", "", "31:1: [[load]] 2 whip needs the key \"radiation_at\""},
      {"capacitance = \"25 pF\"\n", "", "31:1: [[load]] 2 whip needs the key \"capacitance\""},
      {"metal_at = \"7 MHz\"\n", "", "31:1: [[load]] 2 whip needs the key \"metal_at\""},
      {"type = \"RG-174\"\nlength", "length",
       "40:1: [cable.lead] needs a \"type\", or \"impedance\", \"velocity_factor\" and \"attenuation\" = [{ at, loss, "
       "length }]"},
      {"type = \"RG-174\"\nlength = \"0.8 m\"", "type = \"RG-174\"", "40:1: [cable.lead] needs the key \"length\""},
      {"velocity_factor = 0.66\n", "", "44:1: [cable.own] needs the key \"velocity_factor\""},
      {"length = \"2 m\"\nimpedance = \"50 ohm\"", "length = \"2 m\"", "44:1: [cable.own] needs the key \"impedance\""},
      {"at = \"10 MHz\", ", "", "48:16: [[cable.own.attenuation]] 1 needs the key \"at\""},
      {"form = \"L\"\n", "", "63:1: [[tuner]] 1 needs the key \"form\""},
      {"values = [\"40 pF\", \"160 pF\"]\n", "", "74:1: [[tuner]] 1 capacitors needs the key \"values\""},
      {"name = \"coil\"\n", "", "92:1: [[arrangement]] 3 needs the key \"name\""},
      {"kind = \"base coil\"\n", "", "92:1: [[arrangement]] 3 needs the key \"kind\""},
  });
}

TEST_CASE("a value of the wrong type is refused at its place") {
  check_rows({
      {"name = \"bench\"", "name = 7", "2:8: \"name\" in [station] must be a text, not a number"},
      {"name = \"bench\"", "name = \"\"", "2:8: \"name\" in [station] must not be empty"},
      {"note = \"three conditions\"", "note = [\"three\"]", "3:8: \"note\" in [station] must be a text, not an array"},
      {"whip_on_body = false", "whip_on_body = \"no\"", "4:16: \"whip_on_body\" in [station] must be true or false"},
      {"power = \"5 W\"\n", "power = true\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not true or "
       "false"},
      {"power = \"5 W\"\n", "power = [5]\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not an array"},
      {"power = \"5 W\"\n", "power = 1979-05-27\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not a date or "
       "time"},
      {"impedance = \"50 ohm\"\nswr", "impedance = {r = 50}\nswr",
       "8:13: \"impedance\" in [transmitter] must be a finite number or a text with a unit such as \"1 ohm\", not a "
       "table"},
      {"foldback = [{", "foldback = [1, {", "10:13: \"foldback\" must hold tables only"},
      {"foldback = [{ swr = 2, power = \"5 W\" }, { swr = 3, power = \"2 W\" }]", "foldback = \"none\"",
       "10:12: \"foldback\" must be tables [[foldback]], not a text"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = \"7.05 MHz\"",
       "16:7: \"use\" in [[band]] 1 must be an array of values, such as [\"1 Hz\", \"2 Hz\"]"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = []",
       "16:7: \"use\" in [[band]] 1 must be an array of values, such as [\"1 Hz\", \"2 Hz\"]"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"7.05 MHz\", true]",
       "16:20: \"use\" in [[band]] 1 must be a finite number or a text with a unit such as \"1 Hz\", not true or "
       "false"},
      {"[station]\n", "band = 3\n[station]\n",
       "13:1: Error while parsing table header: cannot redefine existing integer 'band' as array-of-tables"},
      {"[cable.lead]", "[cable]\nshort = 3\n[cable.lead]",
       "41:9: [cable] holds named tables, such as [cable.feeder]; \"short\" is none"},
      {"[cable.lead]\ntype = \"RG-174\"\nlength = \"0.8 m\"\n\n[cable.own]\nlength = \"2 m\"\nimpedance = \"50 "
       "ohm\"\nvelocity_factor = 0.66\n",
       "[[cable]]\n", "40:1: \"cable\" must be a table, not an array"},
      {"type = \"RG-174\"", "type = 174", "41:8: \"type\" in [cable.lead] must be a text, not a number"},
      {"attenuation = [{ at = \"10 MHz\", loss = \"4.6 dB\", length = \"100 m\" }]", "attenuation = \"4.6 dB\"",
       "48:15: \"attenuation\" must be tables [[attenuation]], not a text"},
      {"capacitor_rating = { voltage = \"500 V\" }", "capacitor_rating = \"500 V\"",
       "60:20: \"capacitor_rating\" must be a table, not a text"},
      {"parts = { inductor_q = 250, capacitor_series = \"E12\" }", "parts = 3",
       "89:9: \"parts\" must be a table, not a number"},
      {"values = [\"40 pF\", \"160 pF\"]", "values = \"40 pF\"",
       "75:10: \"values\" in [[tuner]] 1 capacitors must be an array of values, such as [\"1 F\", \"2 F\"]"},
      {"[tuner.inductors]\n", "[[tuner.inductors]]\n", "68:1: \"inductors\" must be a table, not an array"},
  });
}

TEST_CASE("a quantity with the wrong unit is refused at the unit") {
  check_rows({
      {"power = \"5 W\"\n", "power = \"5 V\"\n", "7:12: \"5 V\": \"V\" is not a unit of power; legal: uW mW W kW"},
      {"power = \"5 W\"\n", "power = \"5 w\"\n",
       "7:12: \"5 w\": no such unit \"w\"; legal: uW mW W kW (case matters: W)"},
      {"impedance = \"50 ohm\"\nswr", "impedance = \"50 V\"\nswr",
       "8:17: \"50 V\": unexpected \"V\"; legal: ohm in the form 12-230j, 50 or -230j"},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230i\"",
       "26:20: \"14-230i\": the imaginary unit is written j, not i; legal: ohm in the form 12-230j, 50 or -230j"},
      {"swr_limit = 2", "swr_limit = \"2 dB\"",
       "9:16: \"2 dB\": unexpected \"dB\" after the number; legal: a number without unit"},
      {"low = \"7.0 MHz\"", "low = \"7.0 mHz\"",
       "14:12: \"7.0 mHz\": no such unit \"mHz\"; legal: Hz kHz MHz GHz (m is milli, M is mega)"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"7.05 MHz\", \"7.15 m\"]",
       "16:26: \"7.15 m\": \"m\" is not a unit of frequency; legal: Hz kHz MHz GHz"},
      {"capacitance = \"25 pF\"", "capacitance = \"25 uH\"",
       "34:19: \"25 uH\": \"uH\" is not a unit of capacitance; legal: fF pF nF uF mF F"},
      {"length = \"0.8 m\"", "length = \"0.8 MHz\"",
       "42:15: \"0.8 MHz\": \"MHz\" is not a unit of length; legal: um mm cm m km ft in"},
      {"loss = \"4.6 dB\"", "loss = \"4.6 %\"",
       "48:45: \"4.6 %\": unexpected \"%\" after the number; legal: a number, then nothing or one of dB"},
      {"voltage = \"500 V\"", "voltage = \"500 W\"",
       "60:37: \"500 W\": \"W\" is not a unit of voltage; legal: uV mV V kV"},
      {"values = [\"0.2 uH\",", "values = [\"0.2 pF\",",
       "69:16: \"0.2 pF\": \"pF\" is not a unit of inductance; legal: pH nH uH mH H"},
      {"contact_resistance = \"0.05 ohm\"", "contact_resistance = \"0.05 Ohm\"",
       "67:28: \"0.05 Ohm\": no such unit \"Ohm\"; legal: mohm ohm kohm Mohm (case matters: ohm)"},
      {"ground = \"0.5\"", "ground = \"50 %\"",
       "99:14: \"50 %\": unexpected \"%\" after the number; legal: a number without unit"},
  });
}

TEST_CASE("a number that is not finite is refused") {
  check_rows({
      {"power = \"5 W\"\n", "power = nan\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not nan, inf or "
       "a whole number that no double holds"},
      {"power = \"5 W\"\n", "power = -inf\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not nan, inf or "
       "a whole number that no double holds"},
      {"power = \"5 W\"\n", "power = \"nan W\"\n",
       "7:10: \"nan W\": not a finite number; legal: a number, then nothing or one of uW mW W kW"},
      {"swr_limit = 2", "swr_limit = inf",
       "9:13: \"swr_limit\" in [transmitter] must be a finite number, not nan, inf or a whole number that no double "
       "holds"},
      {"impedance = \"50 ohm\"\nswr", "impedance = nan\nswr",
       "8:13: \"impedance\" in [transmitter] must be a finite number or a text with a unit such as \"1 ohm\", not nan, "
       "inf or a whole number that no double holds"},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-infj\"",
       "26:17: \"14-infj\": not a finite number; legal: ohm in the form 12-230j, 50 or -230j"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [nan, \"7.15 MHz\"]",
       "16:8: \"use\" in [[band]] 1 must be a finite number or a text with a unit such as \"1 Hz\", not nan, inf or a "
       "whole number that no double holds"},
      {"inductor_q = 200", "inductor_q = inf",
       "51:14: \"inductor_q\" in [parts] must be a finite number, not nan, inf or a whole number that no double holds"},
      {"q = 0.1\n", "q = nan\n",
       "98:5: \"q\" in [uncertainty] must be a finite number, not nan, inf or a whole number that no double holds"},
      {"power = \"5 W\"\n", "power = 1e400\n",
       "7:14: Error while parsing floating-point: '1e400' could not be interpreted as a value"},
      {"power = \"5 W\"\n", "power = 9007199254740993\n",
       "7:9: \"power\" in [transmitter] must be a finite number or a text with a unit such as \"1 W\", not nan, inf or "
       "a whole number that no double holds"},
  });
}

TEST_CASE("zero and negative values are refused where they make no sense") {
  check_rows({
      {"power = \"5 W\"\n", "power = 0\n", "7:9: \"power\" in [transmitter] is 0 W and must be > 0"},
      {"power = \"5 W\"\n", "power = \"-5 W\"\n", "7:9: \"power\" in [transmitter] is -5 W and must be > 0"},
      {"impedance = \"50 ohm\"\nswr", "impedance = \"0\"\nswr",
       "8:13: the transmitter's impedance must have a real part > 0"},
      {"impedance = \"50 ohm\"\nswr", "impedance = \"-50 ohm\"\nswr",
       "8:13: the transmitter's impedance must have a real part > 0"},
      {"swr_limit = 2", "swr_limit = 1", "9:13: \"swr_limit\" must be > 1"},
      {"swr_limit = 2", "swr_limit = 0", "9:13: \"swr_limit\" in [transmitter] is 0 and must be > 0"},
      {"low = \"7.0 MHz\"", "low = 0", "14:7: \"low\" in [[band]] 1 is 0 Hz and must be > 0"},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [0, \"7.15 MHz\"]",
       "16:8: \"use\" in [[band]] 1 is 0 Hz and must be > 0"},
      {"impedance = \"14-230j ohm\"", "impedance = \"-14-230j ohm\"", "26:13: a load's resistance must be >= 0"},
      {"radiation = \"1 ohm\"", "radiation = 0", "32:13: \"radiation\" in [[load]] 2 whip is 0 ohm and must be > 0"},
      {"capacitance = \"25 pF\"", "capacitance = 0",
       "34:15: \"capacitance\" in [[load]] 2 whip is 0 F and must be > 0"},
      {"inductance = \"1 uH\"", "inductance = \"-1 uH\"",
       "35:14: \"inductance\" in [[load]] 2 whip is -1 uH and must be >= 0"},
      {"ground = \"20 ohm\"", "ground = \"-20 ohm\"",
       "36:10: \"ground\" in [[load]] 2 whip is -20 ohm and must be >= 0"},
      {"metal = \"0.5 ohm\"", "metal = -0.5", "37:9: \"metal\" in [[load]] 2 whip is -500 mohm and must be >= 0"},
      {"length = \"0.8 m\"", "length = 0", "42:10: \"length\" in [cable.lead] is 0 m and must be > 0"},
      {"velocity_factor = 0.66", "velocity_factor = 0",
       "47:19: \"velocity_factor\" in [cable.own] is 0 and must be > 0"},
      {"loss = \"4.6 dB\"", "loss = \"0 dB\"",
       "48:40: \"loss\" in [[cable.own.attenuation]] 1 is 0 dB and must be > 0"},
      {"inductor_q = 200", "inductor_q = -200", "51:14: \"inductor_q\" in [parts] is -200 and must be > 0"},
      {"capacitor_q = 1000", "capacitor_q = 0", "57:15: \"capacitor_q\" in [parts] is 0 and must be > 0"},
      {"inductor_resistance = \"0.1 ohm\"", "inductor_resistance = \"-0.1 ohm\"",
       "53:23: \"inductor_resistance\" in [parts] is -100 mohm and must be >= 0"},
      {"inductor_self_capacitance = \"1 pF\"", "inductor_self_capacitance = \"-1 pF\"",
       "54:29: \"inductor_self_capacitance\" in [parts] is -1 pF and must be >= 0"},
      {"capacitor_resistance = \"0.02 ohm\"", "capacitor_resistance = -1",
       "58:24: \"capacitor_resistance\" in [parts] is -1 ohm and must be >= 0"},
      {"capacitor_loss_tangent = 0.001", "capacitor_loss_tangent = -0.001",
       "59:26: \"capacitor_loss_tangent\" in [parts] is -0.001 and must be >= 0"},
      {"voltage = \"500 V\"", "voltage = 0", "60:32: \"voltage\" in [parts.capacitor_rating] is 0 V and must be > 0"},
      {"q = 0.1\n", "q = -0.1\n", "98:5: \"q\" in [uncertainty] is -0.1 and must be >= 0"},
  });
}

TEST_CASE("the transmitter's SWR limit and fold-back must make sense") {
  check_rows({
      {"{ swr = 2, power = \"5 W\" }", "{ swr = 0.5, power = \"5 W\" }",
       "10:21: \"swr\" in [[transmitter.foldback]] 1 is 0.5; plausible for an SWR: 1 to 1000"},
      {"{ swr = 2, power = \"5 W\" }", "{ swr = 2, power = \"6 W\" }",
       "10:32: a held-back power must not exceed the transmitter's power"},
      {"{ swr = 3, power = \"2 W\" }", "{ swr = 2, power = \"2 W\" }", "10:49: \"foldback\" must go up in SWR"},
      {"{ swr = 2, power = \"5 W\" }", "{ swr = 2, power = \"1 W\" }", "10:60: \"foldback\" must not go up in power"},
  });
}

TEST_CASE("a band's frequencies must stand in order") {
  check_rows({
      {"high = \"7.2 MHz\"", "high = \"7.0 MHz\"", "15:8: \"high\" must be above \"low\""},
      {"high = \"7.2 MHz\"", "high = \"6.9 MHz\"", "15:8: \"high\" must be above \"low\""},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"7.15 MHz\", \"7.05 MHz\"]",
       "16:7: \"use\" must be two frequencies in order, between \"low\" and \"high\""},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"6.95 MHz\", \"7.15 MHz\"]",
       "16:7: \"use\" must be two frequencies in order, between \"low\" and \"high\""},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"7.05 MHz\", \"7.25 MHz\"]",
       "16:7: \"use\" must be two frequencies in order, between \"low\" and \"high\""},
      {"use = [\"7.05 MHz\", \"7.15 MHz\"]", "use = [\"7.05 MHz\"]",
       "16:7: \"use\" must be two frequencies in order, between \"low\" and \"high\""},
      {"design = \"7.1 MHz\"", "design = \"7.16 MHz\"",
       "17:10: \"design\" must lie within \"use\" (or within \"low\" and \"high\")"},
      {"design = \"7.1 MHz\"", "design = \"7.04 MHz\"",
       "17:10: \"design\" must lie within \"use\" (or within \"low\" and \"high\")"},
  });
}

TEST_CASE("a value that no station has is refused with the question for its unit") {
  check_rows({
      {"low = \"7.0 MHz\"", "low = \"3.5 kHz\"",
       "14:7: \"low\" in [[band]] 1 is 3.5 kHz; plausible for a band: 100 kHz to 300 MHz; was a unit meant, such as "
       "\"3.5 MHz\"? (a bare number is in Hz)"},
      {"low = \"7.0 MHz\"", "low = \"35 Hz\"",
       "14:7: \"low\" in [[band]] 1 is 35 Hz; plausible for a band: 100 kHz to 300 MHz; was a unit meant, such as "
       "\"35 MHz\"? (a bare number is in Hz)"},
      {"high = \"7.2 MHz\"", "high = \"7.2 GHz\"",
       "15:8: \"high\" in [[band]] 1 is 7.2 GHz; plausible for a band: 100 kHz to 300 MHz; was a unit meant, such as "
       "\"7.2 MHz\"? (a bare number is in Hz)"},
      {"length = \"0.8 m\"", "length = 80",
       "42:10: \"length\" in [cable.lead] is 80 m; plausible for a cable: 1 mm to 50 m; was a unit meant, such as "
       "\"80 mm\"? (a bare number is in m)"},
      {"capacitance = \"25 pF\"", "capacitance = 25",
       "34:15: \"capacitance\" in [[load]] 2 whip is 25 F; plausible for an antenna's capacitance: 100 fF to 100 nF; "
       "was a unit meant, such as \"25 pF\"? (a bare number is in F)"},
      {"impedance = \"50 ohm\"\nswr", "impedance = \"50000 ohm\"\nswr",
       "8:13: \"impedance\" in [transmitter] is 50 kohm; plausible for a transmitter's impedance: 1 ohm to 10 kohm; "
       "was "
       "a unit meant, such as \"50 ohm\"? (a bare number is in ohm)"},
      {"power = \"5 W\"\nimp", "power = 5000\nimp",
       "7:9: \"power\" in [transmitter] is 5 kW; plausible for a transmitter: 1 mW to 2 kW; was a unit meant, such as "
       "\"5 W\"? (a bare number is in W)"},
      {"inductor_q = 200", "inductor_q = 2e6",
       "51:14: \"inductor_q\" in [parts] is 2000000; plausible for a Q: 0.1 to 1000000"},
      {"inductor_q_at = \"7 MHz\"", "inductor_q_at = 7",
       "52:17: \"inductor_q_at\" in [parts] is 7 Hz; plausible for the frequency of a stated value: 10 Hz to 10 GHz; "
       "was a "
       "unit meant, such as \"7 MHz\"? (a bare number is in Hz)"},
      {"inductor_self_capacitance = \"1 pF\"", "inductor_self_capacitance = 1",
       "54:29: \"inductor_self_capacitance\" in [parts] is 1 F; plausible for a stray capacitance: 0, or 0.1 fF to "
       "10 nF; was a unit meant, such as \"1 pF\"? (a bare number is in F)"},
  });
}

namespace {

// Longer than the solver takes: whoever solves it fails.
constexpr const char* too_long = "wires = { ground = \"perfect\", wire = [ { name = \"whip\", points = "
                                 "[[0,0,0],[0,0,450],[9,0,1],[18,0,450],[27,0,1],"
                                 "[36,0,450]], radius = 0.002, metal = \"copper\" } ], feed = { gap = 0.01 } }";

}  // namespace

TEST_CASE("nothing is solved when a station is read, and then only what is asked for") {
  const std::string text = with_file(too_long);
  const Station s = read(text);
  REQUIRE(s.antennas[0].loads[0].wires);
  CHECK(s.antennas[0].loads[0].wires->origin == "computed from wires, condition \"as drawn\"");
  CHECK_FALSE(s.antennas[0].loads[1].wires);
  const std::string why = parse_error([&] { solve_loads(s); });
  CHECK(why.find("bench.toml:26:9: more than 2000 unknowns") == 0);
  const Station other = solve_loads(s, {{"wet"}, {}});
  CHECK(other.antennas[0].loads[0].wires);
  CHECK(load::load_impedance(other.antennas[0].loads[1].load, 7.1e6) ==
        load::load_impedance(s.antennas[0].loads[1].load, 7.1e6));
  CHECK_THROWS_WITH(solve_loads(s, {{"frozen"}, {}}), "the station has no condition \"frozen\"");
  CHECK_THROWS_WITH(load::load_impedance(s.antennas[0].loads[0].load, 7.1e6),
                    "load \"dry\" has no samples: an antenna of wires must be solved first");
}

TEST_CASE("bands that take a load of wires to too many frequencies are refused when the file is read") {
  const std::string wide =
      changed(with_file(too_long), "low = \"7.0 MHz\"\nhigh = \"7.2 MHz\"", "low = \"1 MHz\"\nhigh = \"300 MHz\"");
  CHECK(message(wide) ==
        "bench.toml:15:8: 1 MHz to 300 MHz in steps of 0.25 % of the lower end takes an antenna to more "
        "than 8000 frequencies; legal: narrower bands");
  // Without wires nothing is solved, and the same band is legal.
  CHECK(read(changed(bench_station, "low = \"7.0 MHz\"\nhigh = \"7.2 MHz\"", "low = \"1 MHz\"\nhigh = \"300 MHz\""))
            .bands[0]
            .high_hz == 300e6);
}

TEST_CASE("a name is given once") {
  check_rows({
      {"name = \"20 m\"", "name = \"40 m\"", "20:8: the name \"40 m\" is taken"},
      {"condition = \"wet\"\nnote", "condition = \"dry\"\nnote", "29:13: the name \"dry\" is taken"},
      {"name = \"coil\"", "name = \"L\"", "93:8: the name \"L\" is taken"},
      {"[[arrangement]]\nname = \"tuner\"",
       "[[tuner]]\nname = \"small\"\nform = \"L\"\n[tuner.inductors]\nvalues = [1e-6]\n[tuner.capacitors]\nvalues = "
       "[1e-11]\n\n[[arrangement]]\nname = \"tuner\"",
       "80:8: the name \"small\" is taken"},
  });
}

TEST_CASE("a load that is not of wires can say that a wire of it lies") {
  const std::string lying =
      changed(bench_station, "note = \"by a model\"", "note = \"by a model\"\nlying_wire = \"5 m\"");
  const station::Station s = read(lying);
  CHECK(s.antennas[0].loads[1].lying_wire_m == 5.0);
  CHECK(station::short_wire_lies(s.antennas[0].loads[1], 14e6));  // a quarter of 21.4 m is 5.35 m
  CHECK_FALSE(station::short_wire_lies(s.antennas[0].loads[1], 16e6));
  CHECK_FALSE(station::short_wire_lies(read(bench_station).antennas[0].loads[1], 14e6));
  check_rows(
      {{"note = \"by a model\"", "lying_wire = \"5 km\"",
        "30:14: \"lying_wire\" in [[load]] 2 is 5 km; plausible for the length of a wire: 10 mm to 500 m; was a unit "
        "meant, such as \"5 m\"? (a bare number is in m)"}});
}

TEST_CASE("a load is stated in one way") {
  check_rows({
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230j ohm\"\nfile = \"a.s1p\"",
       "25:13: [[load]] 1 needs exactly one of the keys \"file\", \"impedance\", \"whip\", \"wires\"\n"
       "bench.toml:27:8: cannot read \"a.s1p\" (files are looked for beside the station file)"},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230j ohm\"\nshares = \"a.csv\"",
       "27:10: \"shares\" and \"bridge_gaps\" belong to a \"file\""},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230j ohm\"\nbridge_gaps = true",
       "27:15: \"shares\" and \"bridge_gaps\" belong to a \"file\""},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230j ohm\"\nbridge_gaps = 1",
       "27:15: \"bridge_gaps\" in [[load]] 1 must be true or false"},
      {"impedance = \"14-230j ohm\"", "impedance = \"14-230j ohm\"\nlying_wire = \"5 m\"",
       "27:14: \"lying_wire\" is for a load whose loss in the ground is known; legal: beside \"whip\", or a \"file\" "
       "with "
       "shares"},
      {"impedance = \"14-230j ohm\"", "file = \"nowhere/missing.s1p\"",
       "26:8: cannot read \"nowhere/missing.s1p\" (files are looked for beside the station file)"},
      {"impedance = \"14-230j ohm\"", "file = \"\"", "26:8: \"file\" in [[load]] 1 must not be empty"},
      {"impedance = \"14-230j ohm\"", "file = \".\"",
       "26:8: cannot read \".\" (files are looked for beside the station file)"},
  });
}

TEST_CASE("a cable is one of the table or has data of its own") {
  check_rows({
      {"type = \"RG-174\"", "type = \"RG-0\"",
       "41:8: no cable is named \"RG-0\"; there are RG-174, RG-213, RG-58, RG-59, RG-8/U, RG-8X"},
      {"type = \"RG-174\"", "type = \"RG-174\"\nimpedance = \"50 ohm\"",
       "41:8: a cable has either a \"type\" or \"impedance\", \"velocity_factor\" and \"attenuation\" of its own"},
      {"type = \"RG-174\"", "type = \"RG-174\"\nvelocity_factor = 0.66",
       "41:8: a cable has either a \"type\" or \"impedance\", \"velocity_factor\" and \"attenuation\" of its own"},
      {"type = \"RG-174\"", "type = \"RG-174\"\nattenuation = [{ at = 1e7, loss = 4, length = 100 }]",
       "41:8: a cable has either a \"type\" or \"impedance\", \"velocity_factor\" and \"attenuation\" of its own"},
      {"attenuation = [{ at = \"10 MHz\", loss = \"4.6 dB\", length = \"100 m\" }]\n", "",
       "44:1: [cable.own] needs a \"type\", or \"impedance\", \"velocity_factor\" and \"attenuation\" = [{ at, loss, "
       "length }]"},
      {"attenuation = [{ at = \"10 MHz\", loss = \"4.6 dB\", length = \"100 m\" }]", "attenuation = []",
       "44:1: [cable.own] needs a \"type\", or \"impedance\", \"velocity_factor\" and \"attenuation\" = [{ at, loss, "
       "length }]"},
      {"velocity_factor = 0.66", "velocity_factor = 1.1",
       "47:19: \"velocity_factor\" in [cable.own] is 1.1; plausible for a velocity factor: 0.05 to 1"},
      {"attenuation = [{ at", "attenuation = [{ at = \"10 MHz\", loss = \"4 dB\", length = \"100 m\" }, { at",
       "48:15: two attenuation points must be at different frequencies"},
      {"attenuation = [{ at", "attenuation = [{ at = \"40 MHz\", loss = \"4.7 dB\", length = \"100 m\" }, { at",
       "48:15: the two points rise less than the square root of frequency: dielectric loss would be negative"},
      {"attenuation = [{ at",
       "attenuation = [{ at = \"1 MHz\", loss = \"4 dB\", length = \"100 m\" }, { at = \"2 MHz\", loss = \"4 dB\", "
       "length = \"100 m\" }, { at",
       "48:15: a cable is made from one or two attenuation points"},
  });
}

TEST_CASE("a cable that cannot serve a band is refused") {
  check_rows({
      {"loss = \"4.6 dB\", length = \"100 m\"", "loss = \"500 dB\", length = \"1 m\"",
       "45:10: the frequency is too low for the square-root law of the cable's conductor loss"},
  });
}

TEST_CASE("parts are stated in full") {
  check_rows({
      {"inductor_series = \"E12\"", "inductor_series = \"E13\"",
       "56:19: an E series must be one of E3, E6, E12, E24, E48, E96, E192, not \"E13\""},
      {"capacitor_series = \"E24\"", "capacitor_series = \"e24\"",
       "61:20: an E series must be one of E3, E6, E12, E24, E48, E96, E192, not \"e24\""},
      {"capacitor_series = \"E12\" }", "capacitor_series = \"E7\" }",
       "89:48: an E series must be one of E3, E6, E12, E24, E48, E96, E192, not \"E7\""},
  });
}

TEST_CASE("an arrangement refers to what there is") {
  check_rows({
      {"kind = \"base coil\"", "kind = \"base coil\"\ntransformer = { turns_ratio = 3 }",
       "95:15: \"transformer\" belongs to arrangements of kind \"transformer\""},
      {"kind = \"base coil\"", "kind = \"coil\"",
       "94:8: \"kind\" must be \"tuner\", \"L network\", \"base coil\", \"switched coil\", \"autotransformer\", "
       "\"series capacitor\", \"transformer\" or \"straight\""},
      {"cable_before = \"lead\"", "cable_before = \"leads\"",
       "83:16: nothing is called \"leads\"; there are: lead, own"},
      {"cable_after = \"own\"", "cable_after = \"feeder\"",
       "84:15: nothing is called \"feeder\"; there are: lead, own"},
      {"tuner = \"small\"", "tuner = \"large\"", "82:9: nothing is called \"large\"; there are: small"},
      {"design_condition = \"wet\"", "design_condition = \"frozen\"",
       "90:20: nothing is called \"frozen\"; there are: dry, wet"},
  });
}

TEST_CASE("every kind of arrangement is described under one name") {
  for (const ArrangementKind kind :
       {ArrangementKind::tuner, ArrangementKind::l_network, ArrangementKind::base_coil, ArrangementKind::switched_coil,
        ArrangementKind::autotransformer, ArrangementKind::series_capacitor, ArrangementKind::transformer,
        ArrangementKind::straight}) {
    const KindDescription& k = describe_kind(kind);
    CHECK(k.kind == kind);
    CHECK(k.takes_parts == !k.cannot_be.empty());  // only what is designed can fail to be
    const auto all = arrangement_kinds();
    CHECK(std::count_if(all.begin(), all.end(), [&](const KindDescription& o) { return o.name == k.name; }) == 1);
  }
  CHECK(arrangement_kinds().size() == 8);
  // Row by row what each kind takes and is: automatic, tuner, coil, transformer, parts, fed at a tap, coil by
  // inductance.
  struct Row {
    ArrangementKind kind;
    const char *name, *takes;
  };
  for (const Row& row : {Row{ArrangementKind::tuner, "tuner", "11....."},
                         {ArrangementKind::l_network, "L network", "....1.1"},
                         {ArrangementKind::base_coil, "base coil", "....1.1"},
                         {ArrangementKind::switched_coil, "switched coil", "..1.1.."},
                         {ArrangementKind::autotransformer, "autotransformer", "..1.11."},
                         {ArrangementKind::series_capacitor, "series capacitor", "....1.."},
                         {ArrangementKind::transformer, "transformer", "...1..."},
                         {ArrangementKind::straight, "straight", "......."}}) {
    INFO(row.name);
    const KindDescription& k = describe_kind(row.kind);
    CHECK(k.name == row.name);
    std::string takes;
    for (const bool one :
         {k.automatic, k.takes_tuner, k.takes_coil, k.takes_transformer, k.takes_parts, k.fed_at_tap, k.coil_is_a_part})
      takes += one ? '1' : '.';
    CHECK(takes == row.takes);
    // An L network, set once, has every circuit of a base coil; no other kind is within another.
    CHECK(k.contained_in ==
          (row.kind == ArrangementKind::base_coil ? std::optional(ArrangementKind::l_network) : std::nullopt));
  }
}

TEST_CASE("an arrangement has only the keys of its kind") {
  check_rows({
      {"kind = \"base coil\"", "kind = \"base coil\"\ntuner = \"small\"",
       "95:9: \"tuner\" belongs to arrangements of kind \"tuner\""},
      {"cable_after = \"own\"", "parts = { inductor_q = 3 }",
       "84:9: \"parts\" belong to arrangements of kind \"L network\", \"base coil\", \"switched coil\", "
       "\"autotransformer\" or \"series capacitor\""},
      {"cable_after = \"own\"", "design_condition = \"wet\"",
       "84:20: \"design_condition\" belongs to arrangements of kind \"L network\", \"base coil\", \"switched coil\", "
       "\"autotransformer\" or \"series capacitor\""},
      {"cable_after = \"own\"", "trim = \"once\"",
       "84:8: \"trim\" belongs to arrangements of kind \"L network\", \"base coil\", \"switched coil\", "
       "\"autotransformer\" or \"series capacitor\""},
      {"kind = \"base coil\"", "kind = \"straight\"",
       "95:8: \"trim\" belongs to arrangements of kind \"L network\", \"base coil\", \"switched coil\", "
       "\"autotransformer\" or \"series capacitor\""},
      {"trim = \"each condition\"", "trim = \"twice\"",
       "95:8: \"trim\" must be \"once\", \"tap\", \"trimmer\", \"tap and trimmer\" or \"each condition\", which is the "
       "same"},
      {"trim = \"each condition\"", "trim = \"each condition\"\ndesign_condition = \"dry\"",
       "95:8: \"design_condition\" has no meaning when each condition is trimmed"},
  });
}

TEST_CASE("an uncertainty is relative and under 1") {
  check_rows({
      {"q = 0.1\n", "q = 1\n", "98:5: \"q\" is relative and must be under 1"},
      {"ground = \"0.5\"", "ground = \"1.5\"", "99:10: \"ground\" is relative and must be under 1"},
      {"[uncertainty]\nq = 0.1\nground = \"0.5\"", "[[uncertainty]]\nq = 0.1\n[[uncertainty]]\nq = 0.2",
       "97:1: \"uncertainty\" must be a table, not an array"},
  });
}

TEST_CASE("a file that is not TOML is refused at the place") {
  check_rows({
      {"swr_limit = 2", "swr_limit = 2\nswr_limit = 3",
       "10:13: Error while parsing key-value pair: cannot redefine existing integer 'swr_limit'"},
      {"[transmitter]", "[transmitter", "6:13: Error while parsing table header: expected ']', saw '\\n'"},
      {"name = \"bench\"", "name = \"bench",
       "2:14: Error while parsing string: unescaped control characters other than TAB (U+0009) are explicitly "
       "prohibited"},
      {"name = \"bench\"", "name = bench", "2:8: Error while parsing value: could not determine value type"},
      {"[parts]", "[transmitter]",
       "50:1: Error while parsing table header: cannot redefine existing table 'transmitter'"},
  });
}

TEST_CASE("a file without a load a band or an arrangement is refused") {
  const std::string head = "[station]\nname = \"a\"\n[transmitter]\npower = 10\n";
  const std::string load = "[[load]]\ncondition = \"c\"\nimpedance = 50\n";
  const std::string band = "[[band]]\nname = \"b\"\nlow = 7e6\nhigh = 8e6\n";
  const std::string at = "bench.toml:1:1: the file needs ", no_station = at + "the table [station]\n",
                    no_transmitter = at + "the table [transmitter]\n", no_band = at + "at least one [[band]]\n",
                    no_load = at + "at least one [[load]], the antenna in one condition\n",
                    no_arrangement = at + "at least one [[arrangement]]";
  CHECK(message("") == no_station + no_transmitter + no_band + no_load + no_arrangement);
  CHECK(message("# nothing\n") == message(""));
  CHECK(message("[station]\nname = \"a\"\n") == no_transmitter + no_band + no_load + no_arrangement);
  CHECK(message(head) == no_band + no_load + no_arrangement);
  CHECK(message(head + load) == no_band + no_arrangement);
  CHECK(message(head + load + band) == "bench.toml:1:1: the file needs at least one [[arrangement]]");
  const std::string tuner = "[[arrangement]]\nname = \"d\"\nkind = \"tuner\"\n";
  CHECK(message(head + load + band + tuner) ==
        "bench.toml:14:8: an arrangement with a tuner needs a [tuner] table in the file");
  const std::string cable = "[[arrangement]]\nname = \"d\"\nkind = \"straight\"\ncable_before = \"x\"\n";
  CHECK(message(head + load + band + cable) == "bench.toml:15:16: nothing is called \"x\"; there is none");
}

TEST_CASE("two tuners without a name are told apart by nothing") {
  const std::string second =
      "[[tuner]]\nform = \"L\"\n[tuner.inductors]\nvalues = [1e-6]\n[tuner.capacitors]\nvalues = [1e-11]\n\n";
  const std::string text = changed(bench_station, "[[arrangement]]\nname = \"tuner\"",
                                   second + second + "[[arrangement]]\nname = \"tuner\"");
  CHECK(message(text) == "bench.toml:86:1: the name \"tuner\" is taken");
}

TEST_CASE("a load's file is looked for beside the station file") {
  const Folder folder;
  folder.write("sweep.csv", sweep);
  folder.write("shares.csv", shares);
  const std::string text = with_file("file = \"sweep.csv\"\nshares = \"shares.csv\"");
  const Station s = read(text, folder.path().string());
  CHECK(load::load_impedance(s.antennas[0].loads[0].load, 7.1e6) == cdouble(14.0, -230.0));
  const auto got = load::load_shares(s.antennas[0].loads[0].load, 14.2e6);
  REQUIRE(got);
  CHECK(std::abs(got->radiated - 0.2) <= 1e-15);
  CHECK(s.antennas[0].loads[0].load.name == "dry");

  folder.write("bench.toml", text);
  CHECK(load_station(folder / "bench.toml").conditions.size() == 2);
  CHECK(read(with_file("file = \"" + folder / "sweep.csv" + "\"")).conditions.size() ==
        2);  // a whole path stands for itself
}

TEST_CASE("a load's file that is missing or wrong is told") {
  const Folder folder;
  const auto with = [&](const std::string& keys) { return message(with_file(keys), folder.path().string()); };
  CHECK(with("file = \"sweep.csv\"") ==
        "bench.toml:26:8: cannot read \"" + folder / "sweep.csv" + "\" (files are looked for beside the station file)");
  folder.write("sweep.csv", sweep);
  CHECK(with("file = \"sweep.csv\"") == "no error");
  CHECK(with("file = \"sweep.csv\"\nshares = \"shares.csv\"") ==
        "bench.toml:27:10: cannot read \"" + folder / "shares.csv" +
            "\" (files are looked for beside the station file)");
  folder.write("shares.csv", "frequency_hz,far_field_power_over_input\n6900000,0.1\n");
  CHECK(with("file = \"sweep.csv\"\nshares = \"shares.csv\"").rfind(folder / "shares.csv" + ":1", 0) == 0);
  folder.write("shares.csv", "frequency_hz,far_field_power_over_input,metal_loss_over_input\n6900000,0.9,0.2\n");
  CHECK(with("file = \"sweep.csv\"\nshares = \"shares.csv\"") ==
        folder / "shares.csv" + ":2:13: the shares of power sum to more than 1");
  folder.write("sweep.csv", "frequency_hz,r_ohm,x_ohm\n6900000,-14,-240\n");
  CHECK(with("file = \"sweep.csv\"") ==
        folder / "sweep.csv" + ":2:9: a negative resistance; a passive load has r_ohm >= 0");
  folder.write("sweep.txt", sweep);
  CHECK(with("file = \"sweep.txt\"").rfind(folder / "sweep.txt" + ": not a load file by its name", 0) == 0);
}

TEST_CASE("a load that does not cover a band is told at the band") {
  const Folder folder;
  const auto with = [&](const std::string& csv, const std::string& keys = "file = \"sweep.csv\"") {
    folder.write("sweep.csv", "frequency_hz,r_ohm,x_ohm\n" + csv);
    return message(with_file(keys), folder.path().string());
  };
  const std::string forty = "7000000,14,-240\n7200000,15,-220\n";
  CHECK(with(forty + "14000000,30,-90\n14350000,31,-85\n") == "no error");
  CHECK(with("7010000,14,-240\n7200000,15,-220\n14000000,30,-90\n14350000,31,-85\n") ==
        "bench.toml:14:7: the load \"dry\" does not cover this band: load \"dry\": no data at 7 MHz, there is none "
        "below 7.01 MHz; "
        "data: 7.01 MHz to 7.2 MHz, 14 MHz to 14.35 MHz");
  CHECK(with(forty + "14000000,30,-90\n14340000,31,-85\n") ==
        "bench.toml:22:8: the load \"dry\" does not cover this band: load \"dry\": no data at 14.35 MHz, there is none "
        "above 14.34 MHz; "
        "data: 7 MHz to 7.2 MHz, 14 MHz to 14.34 MHz");
  // Both ends and the design frequency have data, what lies between has not.
  folder.write("sweep.csv",
               "frequency_hz,r_ohm,x_ohm\n" + forty + "14000000,30,-90\n14350000,31,-85\n30000000,40,-10\n");
  const std::string wide =
      changed(with_file("file = \"sweep.csv\""), "high = \"14.35 MHz\"", "high = \"30 MHz\"\ndesign = \"14.2 MHz\"");
  CHECK(message(wide, folder.path().string()) ==
        "bench.toml:21:7: the load \"dry\" does not cover this band: load \"dry\": no "
        "data at 22.175 MHz, there is none between "
        "14.35 MHz and 30 MHz; data: 7 MHz to 7.2 MHz, 14 MHz to 14.35 MHz, 30 MHz");
  const std::string bridged = changed(wide, "file = \"sweep.csv\"", "file = \"sweep.csv\"\nbridge_gaps = true");
  CHECK(message(bridged, folder.path().string()) == "no error");
}

TEST_CASE("the offered power falls in straight lines between the stated points") {
  Transmitter t;
  t.source.power_w = 8.0;
  CHECK(power_at_swr(t, 1.0) == 8.0);
  CHECK(power_at_swr(t, network::infinite) == 8.0);
  t.foldback = {{2.0, 8.0}, {3.0, 4.0}, {5.0, 1.0}};
  CHECK(power_at_swr(t, 1.0) == 8.0);
  CHECK(power_at_swr(t, 0.999999) == 8.0);  // rounding below 1
  CHECK(power_at_swr(t, 1.7) == 8.0);
  CHECK(power_at_swr(t, 2.0) == 8.0);
  CHECK(std::abs(power_at_swr(t, 2.25) - 7.0) <= 1e-12);
  CHECK(power_at_swr(t, 3.0) == 4.0);
  CHECK(std::abs(power_at_swr(t, 4.0) - 2.5) <= 1e-12);
  CHECK(power_at_swr(t, 5.0) == 1.0);
  CHECK(power_at_swr(t, 5.1) == 1.0);
  CHECK(power_at_swr(t, network::infinite) == 1.0);
  t.foldback = {{2.0, 4.0}};  // from full power at SWR 1
  CHECK(std::abs(power_at_swr(t, 1.5) - 6.0) <= 1e-12);
  t.foldback = {{1.0, 4.0}, {2.0, 2.0}};
  CHECK(power_at_swr(t, 1.0) == 4.0);
  CHECK(std::abs(power_at_swr(t, 1.5) - 3.0) <= 1e-12);
}

TEST_CASE("the example file loads") {
  const Station s = load_station(example);
  CHECK(s.bands.size() == 6);
  CHECK(s.conditions.size() == 3);
  CHECK(s.arrangements.size() == 6);
  for (const AntennaLoad& l : s.antennas.at(0).loads) {
    INFO(l.load.name);
    REQUIRE(l.wires);
    CHECK(l.wires->carried);
  }
}

TEST_CASE("a damaged station file is read or refused with its place") {
  // The example's loads become constants, so that no file is needed.
  std::string text = read_text_file(example);
  for (std::size_t at = text.find("wires = "); at != std::string::npos; at = text.find("wires = ")) {
    const std::size_t end = text.find('\n', text.find("wires_condition = ", at));
    text.replace(at, end - at, "impedance = \"14-230j\"");
  }
  REQUIRE(read(text).conditions.size() == 3);
  std::mt19937 random(20240607);  // fixed start: the same texts on every machine
  const auto below = [&](std::size_t n) { return std::size_t{random()} % n; };
  const std::string favoured = "\"'[]{}=.,-+#_ \n\r\t0123456789eEjinfnaMHzWohm\\";
  int readable = 0, refused = 0;
  for (int n = 0; n < 6000; ++n) {
    std::string damaged = text;
    for (std::size_t edits = 1 + below(3); edits > 0; --edits) {
      const std::size_t at = below(damaged.size());
      const char byte = below(4) == 0 ? static_cast<char>(below(256)) : favoured[below(favoured.size())];
      switch (below(4)) {
      case 0:
        damaged[at] = byte;
        break;
      case 1:
        damaged.insert(at, 1, byte);
        break;
      case 2:
        damaged.erase(at, 1 + below(4));
        break;
      default:
        damaged.insert(below(damaged.size()), damaged.substr(at, below(40)));
        break;
      }
    }
    try {
      read(damaged);
      ++readable;
    } catch (const ParseError& error) {
      ++refused;
      if (error.where.line == 0) FAIL("no place: " << error.what());
    } catch (const DomainError&) {
      ++refused;
    } catch (const std::exception& error) {
      FAIL("edit " << n << " ends in: " << error.what() << "\n" << damaged);
    }
  }
  CHECK(readable > 300);  // the damage is neither too small nor too large to tell anything
  CHECK(refused > 2000);
}
