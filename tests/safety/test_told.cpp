// What is told of figures: each in its own place of a record, the worst of cases, the highest of voltages. The figures
// are invented and no two are the same, so that none can stand for another.
#include <catch2/catch.hpp>

#include <cmath>
#include <map>

#include <stile/base/constants.hpp>
#include <stile/safety/record.hpp>

#include "safety/carried.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;

namespace {

constexpr const char* heading =
    "standard,group,scope,low_mhz,high_mhz,e_v_m,h_a_m,s_w_m2,averaging_min,status,source,note\n";

/// One level at 50 to 60 MHz: no field of these tests is beside it.
std::vector<Level> far_level() {
  return read_levels(
      std::string(heading) + "Local code (invented),general public,local,50,60,50,,,6,invented,a test,\n", "local.csv");
}

ExposureRow row(const char* group, std::optional<double> ratio) {
  ExposureRow r;
  r.level.group = group;
  r.ratio = ratio;
  return r;
}

}  // namespace

TEST_CASE("a record has every figure of body, contacts, tips and wind in its own place") {
  CaseAssessment c;
  c.condition = "invented";
  c.frequency_hz = 7.1e6, c.power_w = 6.0;
  c.person_in_model = true;
  c.body.in_model = true;
  c.body.enough_mass_kg = 75.0;
  c.body.person_w = 1.5, c.body.person_range_w = {1.25, 1.75};
  c.body.whole_body_w_kg = 0.02, c.body.whole_body_range_w_kg = {0.01, 0.03};
  c.body.limbs = {{"hand and wrist", 0.041, {0.031, 0.051}, 2.25, {1.5, 3.5}}};
  c.body.both_feet_a_rms = 0.0625, c.body.both_feet_range_a = {0.06, 0.07};
  c.body.left_out = {"a corner"};
  c.contacts.terminal_v_peak = 321.0, c.contacts.hand_ohm = 250.0;
  c.contacts.places = {{"the foot", {}, 111.0, 0.222, 0.133}};
  c.contacts.left_out = {"the top"};
  c.tips = {{"the tip", {}, 432.0, 0.0015, 5600.0, 780.0}};
  c.gap_jumped_m = 0.00025;
  c.nobody_stands = {"nobody"};
  FieldAt field;
  field.where = "head", field.point_m = {0.125, 0.25, 1.5}, field.clearance_m = 0.375;
  field.e_v_m = 44.0, field.h_a_m = 0.055, field.e_with_person_v_m = 66.0, field.h_with_person_a_m = 0.077;
  c.fields = {field};
  Assessment a;
  a.cases = {c};
  a.options.pole = Pole{6.0, 0.04, 0.005};
  a.options.stand = {70.0, 9.0, 0.16, 1.4};
  a.wind.condition = "invented";
  a.wind.held_nm = 123.0;
  a.wind.take_down = 6;
  a.wind.left_out = {"a coil"};
  a.wind.rows = {{{4, "moderate breeze", 5.5, 7.9}, 7.9, 1.5, 2.5, 4.5, 0.85}};
  const std::string text = exposure_record({0, "p", "c", {}}, a);
  for (const char* line : {
           "\"invented\" at 7.1 MHz: 6 W into the antenna, key down; the person is in the model\n",
           "field, at the place: head (0.125, 0.250, 1.500 m), 0.375 m from the nearest conductor: E 44 V/m, H 0.055 "
           "A/m "
           "(with the person E 66 V/m, H 0.077 A/m)\n",
           "left out: nobody\n",
           "above 75 kg the whole-body restriction of 0.08 W/kg cannot be exceeded\n",
           "into the person: 1.5 W (1.25 to 1.75 W), 0.02 W/kg (0.01 to 0.03 W/kg)\n",
           "hand and wrist: 0.041 A (0.031 to 0.051 A), indicative 2.25 W/kg over 10 g (1.5 to 3.5 W/kg)\n",
           "both feet: 0.0625 A (0.06 to 0.07 A)\n",
           "left out of the spread: a corner\n",
           "across the terminals: 321 V peak\n",
           "touched at the foot: 111 V rms open, 0.222 A short, 0.133 A through 250 ohm\n",
           "left out: the top\n",
           "the tip: 432 V peak; air glows there from 5600 V peak at the least where it is rounded to 0.0015 m, "
           "perhaps "
           "from 780 V peak at an edge of 0.0001 m (assumed)\n",
           "the highest of these voltages jumps 0.00025 m between smooth plates\n",
           "person 70 kg, pack 9 kg, half of the stand 0.16 m, gusts 1.4 times the mean\n",
           "\"invented\", pole of 6 m, 0.04 to 0.005 m thick: held 123 N m\n",
           "Beaufort 4, up to 7.9 m/s: 1.5 N, 2.5 N m at the pack, counterweight 0.85 kg, 4.5 N m at the feet\n",
           "take it down from Beaufort 6 on\n",
           "left out of the wind: a coil\n",
           "mass of the person: 75 kg; contact of who touches: 300 ohm; altitude: 0 m\n",
       }) {
    INFO(line);
    CHECK(text.find(std::string("\n") + line) != std::string::npos);
  }
}

TEST_CASE("of several cases the worst is first by the public's ratio and then by the field at who carries it") {
  Assessment a;
  a.cases.resize(4);
  a.cases[0].rows = {row("occupational", 9.0), row("general public", 0.5)};
  a.cases[1].rows = {row("general public", 0.25), row("unrestricted", 0.75)};
  a.cases[2].rows = {row("general public", std::nullopt)};
  FieldAt carrier, bystander;
  carrier.e_v_m = 20.0;
  bystander.carrier = false, bystander.e_v_m = 90.0;
  a.cases[2].fields = {carrier};
  a.cases[3].fields = {bystander};
  CHECK(worst_first(a) == std::vector<std::size_t>{1, 0, 2, 3});
}

TEST_CASE("the worst fields of a place are of E and of H each with its own condition and frequency") {
  const auto at = [](const char* where, double e, double h, std::optional<double> with_person) {
    FieldAt f;
    f.where = where, f.e_v_m = e, f.h_a_m = h, f.e_with_person_v_m = with_person;
    return f;
  };
  Assessment a;
  a.cases.resize(2);
  a.cases[0].condition = "first", a.cases[0].frequency_hz = 7e6;
  a.cases[0].fields = {at("head", 10.0, 0.4, 11.0), at("hand", 5.0, 0.1, {})};
  a.cases[1].condition = "second", a.cases[1].frequency_hz = 14e6;
  a.cases[1].fields = {at("head", 30.0, 0.2, 33.0), at("hand", 4.0, 0.3, {})};
  const std::vector<WorstField> worst = worst_fields(a);
  REQUIRE(worst.size() == 2);
  CHECK(worst[0].where == "head");
  CHECK(worst[0].e_v_m == 30.0);
  CHECK(worst[0].e_condition == "second");
  CHECK(worst[0].e_frequency_hz == 14e6);
  CHECK(worst[0].e_with_person_v_m == 33.0);
  CHECK(worst[0].h_a_m == 0.4);
  CHECK(worst[0].h_condition == "first");
  CHECK(worst[0].h_frequency_hz == 7e6);
  CHECK(worst[1].e_condition == "first");
  CHECK(worst[1].h_condition == "second");
  CHECK(worst[1].h_frequency_hz == 14e6);
  CHECK_FALSE(worst[1].e_with_person_v_m);
}

TEST_CASE("the finding for the public is its standard that is exceeded most") {
  const auto verdict = [](const char* group, double ratio, const char* text) {
    Verdict v;
    v.worst = row(group, ratio);
    v.text = text;
    return v;
  };
  const std::vector<Verdict> all{verdict("general public", 0.5, "half"), verdict("occupational", 7.0, "workers"),
                                 verdict("unrestricted", 3.0, "three"), verdict("general public", 2.0, "two")};
  CHECK(public_findings(all, {}) == std::vector<std::string>{"three"});
  CHECK(public_findings({}, {}).empty());
}

TEST_CASE("the highest voltage is that across the terminals or root two of the highest open one") {
  Contacts c;
  c.power_w = 5.0;
  c.terminal_v_peak = 120.0;
  c.places = {{"a", {}, 80.0, 0.2, 0.1}, {"b", {}, 100.0, 0.3, 0.15}};
  CHECK(highest_v_peak(c) == Approx(141.421356).epsilon(1e-8));
  c.terminal_v_peak = 150.0;
  CHECK(highest_v_peak(c) == 150.0);
  // Four times the power is twice of everything.
  const Contacts more = at_power(c, 20.0);
  CHECK(more.power_w == 20.0);
  CHECK(more.terminal_v_peak == Approx(300.0));
  CHECK(more.places[1].open_v_rms == Approx(200.0));
  CHECK(more.places[1].short_a_rms == Approx(0.6));
  CHECK(more.places[1].contact_a_rms == Approx(0.3));
}

TEST_CASE("a contact stands beside every level of contact, touch and grasp of both groups") {
  Contacts c;
  c.condition = "invented", c.frequency_hz = 7.1e6, c.power_w = 5.0;
  c.places = {{"the foot", {}, 111.0, 0.09, 0.04}};
  ExposureOptions options;
  options.duty = {"SSB", 0.5, 60.0};  // 0.1 of the power counts where a level is averaged over 6 min
  // By hand of 40 mA: beside 20 mA and 40 mA, and averaged 40 sqrt(0.1) = 12.649 mA beside 16.7, 50 and 100 mA.
  const std::map<std::string, double> expected{
      {"ICNIRP 2010, contact current, general public", 2.0},
      {"ICNIRP 2010, contact current, occupational", 1.0},
      {"ICNIRP 1998, contact current, general public", 2.0},
      {"ICNIRP 1998, contact current, occupational", 1.0},
      {"IEEE C95.1-2019, touch contact current, general public", 0.0126491 / 0.0167},
      {"IEEE C95.1-2019, touch contact current, occupational", 0.0126491 / 0.05},
      {"IEEE C95.1-2019, grasp contact current, occupational", 0.0126491 / 0.1}};
  const std::vector<BodyRow> rows = contact_rows(c, options);
  CHECK(rows.size() == expected.size());
  for (const BodyRow& r : rows) {
    INFO(r.standard << ", " << r.quantity << ", " << r.group);
    REQUIRE(expected.count(r.standard + ", " + r.quantity + ", " + r.group) == 1);
    CHECK(r.ratio.value() == Approx(expected.at(r.standard + ", " + r.quantity + ", " + r.group)).epsilon(1e-5));
    CHECK(r.open_v_rms == 111.0);
    CHECK(r.where == "the foot");
    CHECK(r.scope == "contact");
  }
}

TEST_CASE("an altitude counts in tips and gaps, a coil's voltage in the gap, and who sets no level is named") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureCase one;  // over a perfect plane, which is soon computed: nobody is touched there
  one.power_w = 5.0;
  one.wires.ground = wire::perfect_ground();
  one.wires.antenna.wires.push_back({"whip", {{0, 0, 0}, {0, 0, 2.4}}, 0.002, {}, 1.0, {}});
  one.solution = wire::solve_antenna(one.wires.antenna, one.wires.ground, 7.1e6, solve);
  ExposureOptions options;
  options.solve = solve;
  options.levels = far_level();
  const BodyFacts high{75.0, 300.0, 3000.0};
  const double pressure_pa = air_pressure_pa(3000.0);
  const auto check_tips = [&](const std::vector<Tip>& all) {
    REQUIRE_FALSE(all.empty());
    for (const Tip& t : all) {
      CHECK(t.smooth_onset_v_peak == corona_onset_v_peak(t.radius_m, pressure_pa));
      CHECK(t.cut_onset_v_peak == corona_onset_v_peak(cut_radius_m, pressure_pa));
    }
  };
  const Assessment a = assess(std::vector<ExposureCase>{one}, {options, high, {}, {}});
  check_tips(a.cases[0].tips);
  CHECK(a.cases[0].gap_jumped_m == hf_gap_jumped_m(highest_v_peak(a.cases[0].contacts), pressure_pa));
  REQUIRE(a.cases[0].no_level.size() == 1);
  const std::vector<PoweredUse> uses{{"40 m", "with coil", 0, 5.0, 9000.0}, {"40 m", "without", 0, 5.0, 0.0}};
  const std::vector<UseExposure> all = use_exposures(std::vector<ExposureCase>{one}, uses, options, high);
  REQUIRE(all.size() == 2);
  for (const UseExposure& u : all) {
    check_tips(u.conditions[0].tips);
    REQUIRE(u.no_level.size() == 1);
    CHECK(u.no_level[0].standard == "Local code (invented)");
  }
  CHECK(all[0].conditions[0].gap_jumped_m == hf_gap_jumped_m(9000.0, pressure_pa));
  CHECK(all[1].conditions[0].gap_jumped_m == a.cases[0].gap_jumped_m);
  CHECK(all[1].conditions[0].gap_jumped_m < all[0].conditions[0].gap_jumped_m);
}

TEST_CASE("who stands by reaches 2.1 m") {
  const wire::SolveOptions solve = wire::with_tables({});
  const auto told = [&](double end_m) {
    ExposureCase one;
    one.power_w = 5.0;
    one.wires.ground = wire::ground_by_name("medium dry");
    one.wires.antenna.wires.push_back({"whip", {{0, 0, 2.5}, {0, 0, 5.0}}, 0.002, {}, 1.0, {}});
    one.wires.antenna.wires.push_back({"wire", {{0, 0, 2.5}, {4.0, 0, end_m}}, 0.001, {}, 1.0, {}});
    one.solution = wire::solve_antenna(one.wires.antenna, one.wires.ground, 7.1e6, solve);
    ExposureOptions options;
    options.solve = solve;
    return contacts(one, 300.0, options);
  };
  const Contacts within = told(2.05), beyond = told(2.15);
  REQUIRE(within.places.size() == 1);
  CHECK(within.places[0].where == "the end of \"wire\"");
  CHECK(beyond.places.empty());
  CHECK(beyond.left_out == std::vector<std::string>{"\"whip\", 10 cm from the feed: at 2.6 m, out of reach",
                                                    "the end of \"wire\": at 2.1 m, out of reach"});
}

TEST_CASE("charts of fields go from 10 cm to 10 m, and over people's heads or half a metre over the whip") {
  const std::vector<double> along_m = chart_distances();
  REQUIRE(along_m.size() == 61);
  CHECK(along_m.front() == Approx(0.1));
  CHECK(along_m[30] == Approx(1.0));
  CHECK(along_m.back() == Approx(10.0));
  wire::WireCase one;
  one.antenna.wires.push_back({"whip", {{0, 0, 0.5}, {0, 0, 1.5}}, 0.002, {}, 1.0, {}});
  CHECK(plane_of(one).top_m == 2.2);
  one.antenna.wires[0].points[1].z_m = 4.0;
  CHECK(plane_of(one).top_m == 4.5);
  // 0.4 m from the feed he who carries it stands, and 0.6 m behind him it ends, but no nearer than 1.5 m.
  CHECK(plane_of(one).low_m == -1.5);
  CHECK(plane_of(one).high_m == Approx(0.9 * 4.5 - 1.5));
}
