#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/winding.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

std::string refusal(const Winding& winding) {
  try {
    check(winding);
  } catch (const DomainError& e) {
    return e.what();
  }
  return "";
}

bool says(const std::string& text, const std::string& word) { return text.find(word) != std::string::npos; }

}  // namespace

TEST_CASE("what cannot be wound is refused with its reason") {
  const Winding good = plain_winding(10, 0.04, 0.002, 0.001);
  CHECK(refusal(good).empty());
  CHECK(says(refusal(plain_winding(0, 0.04, 0.002, 0.001)), "turns"));
  CHECK(says(refusal(plain_winding(-3, 0.04, 0.002, 0.001)), "turns"));
  CHECK(says(refusal(plain_winding(std::nan(""), 0.04, 0.002, 0.001)), "turns"));
  CHECK(says(refusal(plain_winding(10, 0.04, 0.001, 0.001)), "overlap"));
  CHECK(says(refusal(plain_winding(10, 0.04, 0.001, 0.002)), "overlap"));
  CHECK(says(refusal(plain_winding(10, 0.0019, 0.002, 0.001)), "thinner than the wire"));
  CHECK(says(refusal(plain_winding(10, 0.04, -0.002, 0.001)), "pitch"));
  CHECK(says(refusal(plain_winding(10, 0.04, 0.002, 0.0)), "wire"));
  CHECK(says(refusal(plain_winding(1e-10, 0.04, 0.002, 0.001)), "legal is 0.01 to 2000"));
  CHECK(says(refusal(plain_winding(1e5, 0.04, 0.002, 0.001)), "legal is 0.01 to 2000"));
  CHECK(says(refusal(plain_winding(10, 0.04, 1e-15, 0.5e-15)), "1e-08 to 0.5 times"));
  CHECK(says(refusal(plain_winding(10, 0.04, 2e-9, 1e-9)), "1e-06 to 1000 times"));
  CHECK(says(refusal(plain_winding(10, 0.04, 1e300, 0.001)), "1e-06 to 1000 times"));
  CHECK(says(refusal(plain_winding(10, 1e300, 1e299, 1e298)), "1e-05 to 10000 m"));
  CHECK(refusal(plain_winding(0.01, 0.04, 0.002, 0.001)).empty());
  Winding w = good;
  w.sections = {{0.0, 1500.0, 0.002, 0.0}, {4.0, 600.0, 0.002, 0.0}};
  CHECK(says(refusal(w), "2100 turns in all"));
  w = good;
  w.sections.push_back({0.0205, 4.0, 0.002, 0.0});
  CHECK(says(refusal(w), "sections 1 and 2 overlap"));
  w.sections.back().start_m = 0.025;
  CHECK(refusal(w).empty());
  w = good;
  w.sections.front().last_pitch_m = 0.0009;
  CHECK(says(refusal(w), "overlap"));
  w = good;
  w.wire.wall_m = 0.0005;
  CHECK(says(refusal(w), "wall"));
  w = good;
  w.former.field_share = 1.5;
  CHECK(says(refusal(w), "former"));
  w = good;
  w.plane = Plane{0.001};
  CHECK(says(refusal(w), "plane"));
  w = good;
  w.wire.temperature_c = 900.0;
  CHECK(says(refusal(w), "degrees"));
  w = good;
  w.sections.clear();
  CHECK(says(refusal(w), "without turns"));
  w = good;
  w.wire.metal = conductor::metal_by_name("steel");
  CHECK(says(refusal(w), "magnetic"));
  CHECK_THROWS_AS(former("balsa"), DomainError);
}

TEST_CASE("every former has its row") {
  // Permittivity and loss tangent near 10 MHz and the long-term limit, by the sources that winding.cpp names.
  struct Row {
    const char* name;
    double permittivity, loss_tangent, limit_c;
  };
  for (const Row& row : {Row{"air", 1.0, 0.0, 0.0}, Row{"ABS", 2.8, 0.007, 85.0}, Row{"PMMA", 2.9, 0.033, 90.0},
                         Row{"PC", 3.1, 0.011, 120.0}, Row{"PE", 2.3, 0.0001, 75.0}, Row{"PA6", 4.0, 0.020, 80.0},
                         Row{"PP", 2.25, 0.0005, 100.0}, Row{"PS", 2.5, 0.0004, 75.0}, Row{"PVC-U", 3.0, 0.02, 60.0},
                         Row{"PTFE", 2.1, 0.0002, 0.0}, Row{"POM", 3.7, 0.005, 0.0}, Row{"PLA", 3.48, 0.043, 50.0},
                         Row{"PETG", 3.48, 0.043, 70.0}}) {
    INFO(row.name);
    const Former f = former(row.name);
    CHECK(f.name == row.name);
    CHECK(f.relative_permittivity == row.permittivity);
    CHECK(f.loss_tangent == row.loss_tangent);
    CHECK(f.limit_c == row.limit_c);
    CHECK(f.field_share == 0.0);
  }
  CHECK_THROWS_WITH(former("balsa"),
                    Catch::Contains("air, ABS, PMMA, PC, PE, PA6, PP, PS, PVC-U, PTFE, POM, PLA, PETG"));
}

TEST_CASE("wire length is that of a helix and mass follows") {
  Winding w = plain_winding(12.5, 0.04, 0.002, 0.001);
  const double length = 12.5 * std::sqrt(std::pow(pi * 0.04, 2) + 0.002 * 0.002);
  CHECK(off(wire_length_m(w), length) <= 1e-12);
  CHECK(off(wire_mass_kg(w), length * pi * 0.25e-6 * 8890.0) <= 1e-12);
  CHECK(off(winding_length_m(w), 0.025) <= 1e-12);
  w.wire.wall_m = 0.0001;
  CHECK(off(wire_mass_kg(w), length * pi * (0.25e-6 - 0.16e-6) * 8890.0) <= 1e-9);
}

TEST_CASE("the layout has a node at every turn's end and covers the whole wire") {
  Winding w = plain_winding(5.5, 0.04, 0.002, 0.001);
  w.sections.push_back({0.02, 3.0, 0.002, 0.004});
  const TurnLayout layout = turn_layout(w);
  REQUIRE(layout.turns.size() == 9);
  REQUIRE(layout.nodes.size() == 11);
  double covered = 0.0, wound = 0.0;
  for (const TurnLayout::Node& n : layout.nodes) covered += n.part;
  for (const TurnLayout::Turn& t : layout.turns) wound += t.part;
  CHECK(off(covered, 8.5) <= 1e-12);
  CHECK(off(wound, total_turns(w)) <= 1e-12);
  CHECK(off(layout.nodes[6].z_m, 0.011) <= 1e-12);
  CHECK(off(layout.nodes.back().z_m, 0.02 + 0.002 + 0.003 + 0.004) <= 1e-12);
  CHECK(off(axial_position_m(w, {1, 1.5}), 0.02 + 0.002 + 0.0015) <= 1e-12);
  CHECK_THROWS_AS(axial_position_m(w, {1, 3.5}), DomainError);
  CHECK_THROWS_AS(axial_position_m(w, {2, 0.0}), DomainError);
}
