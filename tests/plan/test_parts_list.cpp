// What is carried: the wire of a coil from its geometry, what is stated, and what is typical.

#include <cmath>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/parts_list.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

const Part* named(const PartsList& list, const std::string& name) {
  for (const Part& p : list.parts) {
    if (p.name.find(name) != std::string::npos) return &p;
  }
  return nullptr;
}

void check_sums(const PartsList& list) {
  double mass_kg = 0.0, volume_m3 = 0.0;
  for (const Part& p : list.parts) mass_kg += p.mass_kg, volume_m3 += p.volume_m3.value_or(0.0);
  CHECK(list.mass_kg == Approx(mass_kg).epsilon(1e-12));
  CHECK(list.volume_m3 == Approx(volume_m3).epsilon(1e-12));
}

}  // namespace

TEST_CASE("the mass of a wound coil is its wire's") {
  station::Station s = test::bare_station({20.0, -300.0});
  s.arrangements = {test::switched("coil", test::small_coil(24.0))};
  const PartsList list = parts_lists(s, make_plan(s)).front();
  const Part* wire = named(list, "wire of 24 turns");
  REQUIRE(wire != nullptr);
  CHECK(wire->known == Known::computed);
  // 24 turns of 41 mm and 2 mm pitch along the helix, 1 mm of annealed copper. Density 8.89 g/cm3: IEC 60028,
  // International Standard of Resistance for Copper, 1925 (from memory).
  const double length_m = 24.0 * std::hypot(pi * 41e-3, 2e-3);
  const double mass_kg = 8890.0 * 0.25 * pi * 1e-6 * length_m;
  CHECK(std::abs(wire->mass_kg - mass_kg) <= 1e-6 * mass_kg);
  CHECK(*wire->volume_m3 == Approx(0.25 * pi * 42e-3 * 42e-3 * (24.0 * 2e-3 + 1e-3)).epsilon(1e-9));
  CHECK(named(list, "former") == nullptr);  // on air
  check_sums(list);
  CHECK(list.typical);
}

TEST_CASE("an autotransformer is one coil with two clips, and a coil up the whip is carried") {
  station::Station s = test::bare_station({15.0, -900.0});
  station::Arrangement fed = test::switched("fed", test::small_coil(24.0));
  fed.kind = station::ArrangementKind::autotransformer;
  station::Arrangement raised = test::arrangement("raised", station::ArrangementKind::straight);
  raised.whip = station::WhipChange{0.0, test::small_coil(24.0), 1.0};
  s.arrangements = {fed, raised};
  const std::vector<PartsList> all = parts_lists(s, make_plan(s));
  CHECK(named(all[0], "wire of 24 turns") != nullptr);
  CHECK(named(all[0], "clip")->count == 2);
  CHECK(named(all[0], "wound inductor") == nullptr);  // the elements of its settings are that coil's turns
  CHECK(named(all[0], "capacitor") == nullptr);
  check_sums(all[0]);
  CHECK(named(all[1], "wire of 24 turns")->mass_kg == named(all[0], "wire of 24 turns")->mass_kg);
  CHECK(named(all[1], "clip") == nullptr);
  check_sums(all[1]);
}

TEST_CASE("what is stated stands in place of what is typical") {
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement stated = test::arrangement("stated", station::ArrangementKind::base_coil), whole = stated;
  stated.carried = {{"box", 2, 0.08, 240e-6}, {"knob", 1, 0.005, {}}};
  whole.name = "whole", whole.mass_kg = 0.3;
  station::Arrangement relays = test::with_tuner("relays");
  relays.cable_before = test::line("lead", "RG-58", 2.0);
  s.arrangements = {stated, whole, relays, test::arrangement("nothing", station::ArrangementKind::straight)};
  s.antennas.front().mass_kg = 0.4;
  const std::vector<PartsList> all = parts_lists(s, make_plan(s));
  REQUIRE(all.size() == 4);
  for (const PartsList& list : all) check_sums(list);
  CHECK(all[0].mass_kg == Approx(0.4 + 0.165).epsilon(1e-12));
  CHECK(all[0].volume_m3 == Approx(480e-6).epsilon(1e-12));
  CHECK_FALSE(all[0].typical);
  CHECK(all[1].mass_kg == Approx(0.7).epsilon(1e-12));
  CHECK(named(all[2], "relay")->count == 16);
  CHECK(named(all[2], "cable lead")->mass_kg == Approx(0.074).epsilon(1e-12));  // 37 g/m, typical
  CHECK(all[2].typical);
  CHECK(all[3].mass_kg == Approx(0.4).epsilon(1e-12));
  CHECK_THROWS_AS(parts_lists(s, Plan{}), DomainError);
}

TEST_CASE("parts that a hand moves are there once, others once for each value") {
  station::Station s = test::bare_station({20.0, -300.0});
  s.bands.push_back(test::one_frequency(10.1e6));
  s.bands.back().name = "other";
  station::Arrangement once = test::arrangement("once", station::ArrangementKind::base_coil), tapped = once;
  tapped.name = "tapped", tapped.trim = station::Trim::tap;
  s.arrangements = {once, tapped};
  const Plan plan = make_plan(s);
  const std::vector<PartsList> all = parts_lists(s, plan);
  std::size_t inductors = 0;
  for (const network::Element& e : plan.bands[0].arrangements[0].conditions[0].setting.elements)
    inductors += std::holds_alternative<network::Inductor>(e.part);
  REQUIRE(inductors > 0);  // 20-300j at two frequencies takes as many again
  CHECK(named(all[0], "wound inductor")->count == static_cast<int>(2 * inductors));
  CHECK(named(all[0], "tapped coil") == nullptr);
  CHECK(named(all[1], "tapped coil")->count == static_cast<int>(inductors));
  CHECK(named(all[1], "wound inductor") == nullptr);
}

TEST_CASE("the room of antenna, battery and match counts where it is stated") {
  station::Station s = test::bare_station(50.0);
  s.arrangements = {test::arrangement("box", station::ArrangementKind::straight)};
  s.arrangements[0].mass_kg = 0.2, s.arrangements[0].volume_m3 = 1e-4;
  s.antennas[0].mass_kg = 0.4, s.antennas[0].volume_m3 = 2e-4;
  s.supply = station::Supply{};
  s.supply->mass_kg = 1.0, s.supply->volume_m3 = 4e-4;
  s.supply->battery.capacity_ah = 7.0;
  s.supply->set = {0.3, 1.5, {1.0, 1.0}, 0.2};
  PartsList list = parts_lists(s, make_plan(s)).front();
  CHECK(list.volume_m3 == Approx(7e-4).epsilon(1e-12));
  check_sums(list);
  s.supply->volume_m3.reset();
  list = parts_lists(s, make_plan(s)).front();
  CHECK(list.volume_m3 == Approx(3e-4).epsilon(1e-12));
  CHECK(list.no_volume == std::vector<std::string>{"battery"});
  CHECK(list.no_mass.empty());
}

TEST_CASE("what is carried without a stated mass is named") {
  station::Station s = test::bare_station(50.0);
  s.arrangements = {test::arrangement("box", station::ArrangementKind::straight)};
  CHECK(parts_lists(s, make_plan(s)).front().no_mass == std::vector<std::string>{"antenna"});
  s.antennas[0].name = "long";
  s.supply = station::Supply{};
  s.supply->battery.capacity_ah = 7.0;
  s.supply->set = {0.3, 1.5, {1.0, 1.0}, 0.2};
  CHECK(parts_lists(s, make_plan(s)).front().no_mass == std::vector<std::string>{"antenna long", "battery"});
}

TEST_CASE("every typical part and cable weighs and takes what is typical of it") {
  // Typical of parts for a few watts, from memory, as parts_list.cpp says: no measurement stands behind a row.
  station::Station s = test::bare_station({20.0, -300.0});
  struct CableRow {
    const char* type;
    double kg_per_m, diameter_m;
  };
  const std::vector<CableRow> cables{{"RG-174", 0.012, 2.8e-3}, {"RG-58", 0.037, 5.0e-3},   {"RG-8X", 0.055, 6.1e-3},
                                     {"RG-59", 0.055, 6.1e-3},  {"RG-213", 0.155, 10.3e-3}, {"RG-8/U", 0.155, 10.3e-3}};
  for (const CableRow& row : cables) {
    s.arrangements.push_back(test::arrangement(row.type, station::ArrangementKind::straight));
    s.arrangements.back().cable_before = test::line("lead", row.type, 2.0);
  }
  s.arrangements.push_back(test::arrangement("own cable", station::ArrangementKind::straight));
  s.arrangements.back().cable_after = test::line("riser", "RG-58", 3.0);
  const std::vector<network::AttenuationPoint> loss{{10e6, 4.6, 100.0}};
  s.arrangements.back().cable_after->line.per_metre = network::cable_from_attenuation("own", 50.0, 0.66, loss);
  const std::size_t tuner = s.arrangements.size();
  s.arrangements.push_back(test::with_tuner("relays", 4));
  s.arrangements.push_back(test::arrangement("transformer", station::ArrangementKind::transformer));
  s.arrangements.back().transformer = station::StatedTransformer{2.0};
  s.arrangements.push_back(test::arrangement("once", station::ArrangementKind::l_network));
  s.arrangements.back().settings = {{"band",
                                     "",
                                     {{"C1", network::Place::shunt, network::Capacitor{300e-12, {}}, {}},
                                      {"L1", network::Place::series, network::Inductor{7e-6, {}, 0.0}, {}}}}};
  s.arrangements.push_back(s.arrangements.back());
  s.arrangements.back().name = "trimmed", s.arrangements.back().trim = station::Trim::tap_and_trimmer;
  station::SwitchedCoil coil = test::small_coil(24.0);
  coil.trimmer_f = 50e-12;
  s.arrangements.push_back(test::switched("switched", coil));
  const std::vector<PartsList> all = parts_lists(s, make_plan(s));
  const auto is = [&](std::size_t list, const char* name, int count, double kg, double m3) {
    INFO(s.arrangements[list].name << ", " << name);
    const Part* part = named(all[list], name);
    REQUIRE(part != nullptr);
    CHECK(part->count == count);
    CHECK(part->known == Known::typical);
    CHECK(part->mass_kg == Approx(count * kg).epsilon(1e-12));
    CHECK(part->volume_m3.value() == Approx(count * m3).epsilon(1e-12));
  };
  for (std::size_t n = 0; n < cables.size(); ++n)
    is(n, "cable lead, 2 m", 1, 2.0 * cables[n].kg_per_m,
       2.0 * 0.25 * pi * cables[n].diameter_m * cables[n].diameter_m);
  is(cables.size(), "cable riser, 3 m", 1, 3.0 * 0.04, 3.0 * 0.25 * pi * 25e-6);  // 40 g/m and 5 mm, of a type unknown
  is(tuner, "inductor or capacitor with its relay", 8, 6e-3, 4e-6);
  is(tuner, "control, detector and box", 1, 60e-3, 150e-6);
  is(tuner + 1, "transformer", 1, 30e-3, 25e-6);
  is(tuner + 2, "wound inductor", 1, 25e-3, 40e-6);
  is(tuner + 2, "capacitor", 1, 2e-3, 1e-6);
  is(tuner + 3, "tapped coil for all bands", 1, 80e-3, 200e-6);
  is(tuner + 3, "variable capacitor for all bands", 1, 60e-3, 80e-6);
  is(tuner + 4, "its switch or clip", 1, 25e-3, 30e-6);
  is(tuner + 4, "trimmer capacitor", 1, 60e-3, 80e-6);
  for (const PartsList& list : all) check_sums(list);
  CHECK(known_name(Known::stated) == "stated");
  CHECK(known_name(Known::computed) == "computed");
  CHECK(known_name(Known::typical) == "typical");
}

TEST_CASE("a former weighs what its tube or rod does, 10 mm longer than the winding at each end") {
  // Worked by hand: 40 mm outside under wire of 1 mm whose centres are 41 mm apart, 24 turns of 2 mm and the wire are
  // 49 mm, with the ends 69 mm. Plastic of 1.2 g/cm3 (typical). A wall of 3 mm leaves a bore of 34 mm: 0.25 pi (16
  // - 11.56) x 6.9 = 24.06 cm3 or 28.87 g. Nothing stated: a wall of 2 mm, 0.25 pi (16 - 12.96) x 6.9 = 16.47 cm3. A
  // rod: 0.25 pi 16 x 6.9 = 86.71 cm3.
  station::Station s = test::bare_station({20.0, -300.0});
  for (const std::optional<double>& wall_m : {std::optional(3e-3), std::optional<double>(), std::optional(0.0)}) {
    station::SwitchedCoil coil = test::small_coil(24.0);
    coil.winding.former = coil::former("PVC-U");
    coil.former_wall_m = wall_m;
    if (!wall_m) coil.winding.former.field_share = 0.1;
    s.arrangements.push_back(test::switched("coil", coil));
  }
  const std::vector<PartsList> all = parts_lists(s, make_plan(s));
  const std::vector<double> kg{1.2e-3 * 24.061, 1.2e-3 * 16.475, 1.2e-3 * 86.708};
  for (std::size_t n = 0; n < 3; ++n) {
    REQUIRE(named(all[n], "former") != nullptr);
    CHECK(named(all[n], "former")->mass_kg == Approx(kg[n]).epsilon(1e-4));
    CHECK_FALSE(named(all[n], "former")->volume_m3);  // inside the coil's
  }
}
