#include <catch2/catch.hpp>
#include <limits>

#include <stile/base/errors.hpp>
#include <stile/wire/geometry.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

void refused(const Antenna& a, const Ground& g, const char* why) {
  try {
    check_antenna(a, g);
    FAIL("accepted, but should be refused for: " << why);
  } catch (const DomainError& e) {
    INFO(e.what());
    CHECK(std::string(e.what()).find(why) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("geometry that is accepted") {
  CHECK_NOTHROW(check_antenna(whip_with_wire(), free_space()));
  CHECK_NOTHROW(check_antenna(whip_with_wire(), ground_by_name("wet")));
  CHECK_NOTHROW(check_antenna(monopole(2.4, 0.002), perfect_ground()));
  Antenna t = whip_with_wire();
  t.wires.push_back(bare({{1.2, 0, 0.05}, {1.2, 2, 0.05}}, 0.001));  // joins at a bend of another wire
  CHECK_NOTHROW(check_antenna(t, ground_by_name("wet")));
}

TEST_CASE("wires that are no wires") {
  Antenna a = whip_with_wire();
  a.wires[0].points.pop_back();
  refused(a, free_space(), "needs at least 2");
  a = whip_with_wire();
  a.wires[0].radius_m = 0.0;
  refused(a, free_space(), "radius");
  a.wires[0].radius_m = 3.0;
  refused(a, free_space(), "a tenth of the straight piece");
  a.wires[0].radius_m = std::nan("");
  refused(a, free_space(), "radius");
  a = whip_with_wire();
  a.wires[1].points[1] = a.wires[1].points[0];
  refused(a, free_space(), "are the same");
  a.wires[1].points[1].x_m = std::numeric_limits<double>::infinity();
  refused(a, free_space(), "not finite");
  a = whip_with_wire();
  a.wires[0].conductivity_s_m = 0.0;
  refused(a, free_space(), "conductivity");
  a = whip_with_wire();
  a.wires[0].relative_permeability = 0.5;
  refused(a, free_space(), "permeability");
  a = whip_with_wire();
  a.wires[1].insulation = Insulation{0.0, 2.3};
  refused(a, free_space(), "thickness");
  a.wires[1].insulation = Insulation{0.001, 0.9};
  refused(a, free_space(), "permittivity");
  a = Antenna{};
  refused(a, free_space(), "no wire");
}

TEST_CASE("wires that cross or touch") {
  Antenna a = whip_with_wire();
  a.wires.push_back(bare({{-1, 0, 2.0}, {1, 0, 2.0}}, 0.001, {}, "across"));
  refused(a, free_space(), "cross or touch");
  a.wires.back() = bare({{0.002, 0, 2.0}, {1, 0, 2.0}}, 0.001, {}, "touching");  // axes 2 mm apart, radii 3 mm
  refused(a, free_space(), "cross or touch");
  a.wires.back() = bare({{0, 0, 2.0}, {1, 0, 2.0}}, 0.001, {}, "tee");  // ends on the whip, not at a point of it
  refused(a, free_space(), "cross or touch");
  a.wires.back() = bare({{0, 0, 1.2}, {0, 0, 3.0}}, 0.001, {}, "on top");  // along the whip
  refused(a, free_space(), "cross or touch");
  a.wires.back() = bare({{0.004, 0, 2.0}, {1, 0, 2.0}}, 0.001, {}, "clear");
  CHECK_NOTHROW(check_antenna(a, free_space()));
}

TEST_CASE("wires and the ground") {
  Antenna a = whip_with_wire(-0.1);
  refused(a, ground_by_name("wet"), "below the ground");
  refused(a, perfect_ground(), "below the ground");
  CHECK_NOTHROW(check_antenna(a, free_space()));
  refused(whip_with_wire(0.004), ground_by_name("wet"), "nearer than 0.005 m");
  CHECK_NOTHROW(check_antenna(whip_with_wire(0.005), ground_by_name("wet")));
  CHECK_NOTHROW(check_antenna(whip_with_wire(0.004), perfect_ground()));
  refused(whip_with_wire(0.0005), perfect_ground(), "less than its radius");
  refused(whip_with_wire(0.0), perfect_ground(), "lies on the ground");
  refused(monopole(2.4, 0.002), ground_by_name("wet"), "lossy ground");
  a = whip_with_wire(0.006);
  a.wires[1].insulation = Insulation{0.006, 2.3};
  refused(a, ground_by_name("wet"), "0.007 m");
}

TEST_CASE("feed and coils") {
  Antenna a = monopole(2.4, 0.002);
  refused(a, free_space(), "nothing else does");
  a.feed.gap_m = 0.0;
  refused(a, perfect_ground(), "gap");
  a.feed.gap_m = 3.0;
  refused(a, perfect_ground(), "does not fit");
  // Shorter than the radius of a conductor that it lies on: the impedance would run through poles, and at 2 um be no
  // number at all.
  for (const double gap : {2e-6, 0.0019}) {
    a.feed.gap_m = gap;
    refused(a, perfect_ground(), "feed gap of");
    refused(a, perfect_ground(), "a gap of 0.002 m or more");
  }
  a.feed.gap_m = 0.002;
  CHECK_NOTHROW(check_antenna(a, perfect_ground()));
  a = whip_with_wire();
  for (const double gap : {2e-6, 0.001, 0.0039}) {
    a.feed.gap_m = gap;
    refused(a, free_space(), "a gap of 0.004 m or more");
  }
  a.feed.gap_m = 0.004;
  CHECK_NOTHROW(check_antenna(a, free_space()));
  a = monopole(2.4, 0.002);
  a.feed = {1, 0.01, 0.0};
  refused(a, perfect_ground(), "does not exist");
  a.feed = {0, 0.01, -1e-12};
  refused(a, perfect_ground(), "base capacitance");
  a = monopole(2.4, 0.002);
  a.wires.push_back(bare({{0, 0, 0}, {1, 0, 1}}, 0.001));
  refused(a, perfect_ground(), "wires meet at a feed on perfect ground");

  const auto with_coil = [](WireCoil c) {
    Antenna b = monopole(2.4, 0.002);
    b.coils.push_back(c);
    return b;
  };
  CHECK_NOTHROW(check_antenna(with_coil({0, 1.2, 0.02, 1e-6, 200, 0}), perfect_ground()));
  refused(with_coil({1, 1.2, 0.02, 1e-6, 200, 0}), perfect_ground(), "does not exist");
  refused(with_coil({0, 2.4, 0.02, 1e-6, 200, 0}), perfect_ground(), "not within one straight piece");
  refused(with_coil({0, 0.0, 0.0, 1e-6, 200, 0}), perfect_ground(), "not within one straight piece");
  refused(with_coil({0, 0.015, 0.02, 1e-6, 200, 0}), perfect_ground(), "feed gap");
  refused(with_coil({0, 1.2, 0.02, -1e-6, 200, 0}), perfect_ground(), "inductance");
  refused(with_coil({0, 1.2, 0.02, 1e-6, 0, 0}), perfect_ground(), "Q");
  refused(with_coil({0, 1.2, -0.02, 1e-6, 200, 0}), perfect_ground(), "length");
  refused(with_coil({0, 1.2, 0.02, 1e-6, 200, -1}), perfect_ground(), "self-capacitance");
  a = with_coil({0, 1.2, 0.02, 1e-6, 200, 0});
  a.coils.push_back({0, 1.21, 0.02, 1e-6, 200, 0});
  refused(a, perfect_ground(), "overlaps");
  a = whip_with_wire();
  a.coils.push_back({1, std::hypot(1.2, 1.15), 0.1, 1e-6, 200, 0});
  refused(a, free_space(), "not within one straight piece");
  a.coils[0].length_m = 0.0;  // a point coil may sit at a bend
  CHECK_NOTHROW(check_antenna(a, free_space()));
  a.wires.push_back(bare({{1.2, 0, 0.05}, {1.2, 2, 0.05}}, 0.001));  // but not where three wires meet
  refused(a, free_space(), "where wires join");
}

TEST_CASE("cautions of the thin-wire model") {
  CHECK(thin_wire_cautions(whip_with_wire(), 7e6).empty());
  Antenna a = monopole(2.4, 0.1);
  CHECK(thin_wire_cautions(a, 100e6).size() == 1);  // 0.1 m against 3 m
  CHECK(thin_wire_cautions(monopole(0.02, 0.002), 7e6).size() == 1);
  CHECK(thin_wire_cautions(monopole(50.0, 0.002), 100e6).size() == 1);
  a = whip_with_wire();
  a.wires.push_back(bare({{0.006, 0, 2.0}, {0.006, 0, 3.0}}, 0.001));
  CHECK(thin_wire_cautions(a, 7e6).size() == 1);
  CHECK(solve_antenna(a, free_space(), 7e6).cautions.size() == 1);
  const Antenna narrow = monopole(2.4, 0.002, 0.003);  // a gap of 3 mm in a rod of 4 mm
  CHECK(thin_wire_cautions(narrow, 7e6).empty());
  REQUIRE(solve_antenna(narrow, perfect_ground(), 7e6).cautions.size() == 1);
  CHECK(solve_antenna(narrow, perfect_ground(), 7e6).cautions[0].find("two radii") != std::string::npos);
}

TEST_CASE("wires, coils, lumps, feed and solver have the defaults documented") {
  const Wire wire;
  CHECK(wire.radius_m == 0.001);
  CHECK(wire.relative_permeability == 1.0);
  CHECK_FALSE((wire.conductivity_s_m || wire.insulation || wire.person || wire.set));
  CHECK(Insulation{}.relative_permittivity == 2.3);
  const WireCoil coil;
  CHECK(coil.length_m == 0.02);
  CHECK(coil.q == 200.0);
  CHECK(coil.self_capacitance_f == 0.0);
  const WireLump lump;
  CHECK(lump.resistance_ohm == 0.0);
  CHECK((std::isinf(lump.capacitance_f) && std::isinf(lump.q)));
  const Feed feed;
  CHECK(feed.gap_m == 0.01);
  CHECK(feed.base_capacitance_f == 0.0);
  CHECK(std::isinf(feed.base_leakage_ohm));
  const SolveOptions solve;
  CHECK(solve.fineness == 1.0);
  CHECK(solve.method == GroundMethod::rigorous);
  CHECK(solve.max_unknowns == 2000);
  CHECK_FALSE(solve.every_point);
  // R + j w L + w L/Q + 1/(j w C), worked by hand at 1/(2 pi) MHz: 5 + 100/50 + j (100 - 40) ohm through 100 uH and
  // 25 nF.
  Antenna a = whip_with_wire();
  const double f = 1e6 / (2.0 * pi);
  a.lumps.push_back({1, 0.0, 5.0, 100e-6, 25e-9, 50.0});
  const cdouble with = solve_antenna(a, ground_by_name("average"), f).antenna_ohm;
  a.lumps[0] = {1, 0.0, 7.0, 60e-6};
  CHECK(std::abs(with - solve_antenna(a, ground_by_name("average"), f).antenna_ohm) <= 1e-9 * std::abs(with));
}

TEST_CASE("cautions of the thin-wire model begin where they say") {
  // A hundredth of the wavelength: 29.979 mm at 100 MHz. Ten wavelengths: 29.979 m. Fifteen radii of 2 mm: 30 mm.
  const auto cautions = [](const Antenna& a) { return thin_wire_cautions(a, 100e6).size(); };
  CHECK(cautions(monopole(2.4, 0.0299)) == 0);
  CHECK(cautions(monopole(2.4, 0.0301)) == 1);
  CHECK(cautions(monopole(29.9, 0.002)) == 0);
  CHECK(cautions(monopole(30.1, 0.002)) == 1);
  CHECK(cautions(monopole(0.0301, 0.002, 0.005)) == 0);
  CHECK(cautions(monopole(0.0299, 0.002, 0.005)) == 1);
  // A rod of 0.5 mm beside one of 1 mm: four radii of the thicker between their axes.
  Antenna a = monopole(2.4, 0.001);
  for (const double x_m : {0.00401, 0.00399}) {
    a.wires.resize(1);
    a.wires.push_back(bare({{x_m, 0, 1.0}, {x_m, 0, 2.0}}, 0.0005, {}, "beside"));
    CHECK(cautions(a) == (x_m < 0.004 ? 1U : 0U));
  }
}

TEST_CASE("every class of ground has its row") {
  // Classes of the printed tables: relative permittivity and conductivity; "average" and "very dry" of handbooks.
  struct Row {
    const char* name;
    double permittivity, conductivity_s_m;
  };
  const std::vector<Row> rows{{"sea", 70.0, 5.0},         {"wet", 30.0, 1e-2},     {"average", 13.0, 5e-3},
                              {"medium dry", 15.0, 1e-3}, {"very dry", 3.0, 1e-4}, {"fresh water", 80.0, 3e-3}};
  REQUIRE(ground_classes().size() == rows.size());
  for (std::size_t n = 0; n < rows.size(); ++n) {
    INFO(rows[n].name);
    CHECK(ground_classes()[n].name == rows[n].name);
    const Ground g = ground_by_name(rows[n].name);
    CHECK(g.kind == GroundKind::lossy);
    CHECK(g.relative_permittivity == rows[n].permittivity);
    CHECK(g.conductivity_s_m == rows[n].conductivity_s_m);
    CHECK(ground_words(g) == rows[n].name);
    // eps - j sigma/(w eps0), by hand at 7 MHz: 1 mS/m are 2.567872.
    const cdouble e = complex_permittivity(g, 7e6);
    CHECK(e.real() == rows[n].permittivity);
    CHECK(std::abs(e.imag() / (-2567.872 * rows[n].conductivity_s_m) - 1.0) <= 1e-6);
  }
  CHECK(ground_words(lossy_ground(12.5, 2e-3)) == "relative permittivity 12.5, 2 mS/m");
  CHECK(ground_words(free_space()) == "free space");
  CHECK(ground_words(perfect_ground()) == "perfect");
}

TEST_CASE("grounds by name and their skin depths") {
  // Depths at 3.5, 7, 28 MHz as printed beside the constants.
  CHECK(std::abs(ground_depth_m(ground_by_name("sea"), 3.5e6) - 0.12) <= 0.005);
  CHECK(std::abs(ground_depth_m(ground_by_name("wet"), 7e6) - 3.1) <= 0.05);
  CHECK(std::abs(ground_depth_m(ground_by_name("average"), 3.5e6) - 4.9) <= 0.3);
  CHECK(std::abs(ground_depth_m(ground_by_name("medium dry"), 28e6) - 21.0) <= 0.5);
  CHECK(std::abs(ground_depth_m(ground_by_name("very dry"), 7e6) - 92.0) <= 0.5);
  CHECK(ground_depth_m(lossy_ground(4.0, 0.0), 7e6) == std::numeric_limits<double>::infinity());
  CHECK(ground_by_name("perfect").kind == GroundKind::perfect);
  CHECK(ground_by_name("free space").kind == GroundKind::free_space);
  CHECK_THROWS_AS(ground_by_name("moon"), DomainError);
  CHECK_THROWS_AS(lossy_ground(0.5, 0.0), DomainError);
  CHECK_THROWS_AS(lossy_ground(5.0, -1.0), DomainError);
  // 1e6 took seconds of work a frequency.
  CHECK_NOTHROW(lossy_ground(1000.0, 0.0));
  CHECK_THROWS_WITH(lossy_ground(1e6, 0.0), Catch::Matchers::Contains("relative permittivity 1000000") &&
                                                Catch::Matchers::Contains("1 to 1000"));
  CHECK_THROWS_AS(complex_permittivity({GroundKind::lossy, 1e6, 0.0}, 7e6), DomainError);
  CHECK_THROWS_AS(complex_permittivity(perfect_ground(), 7e6), DomainError);
}
