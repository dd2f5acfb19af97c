#include <catch2/catch.hpp>

#include <stile/wire/antenna_study.hpp>
#include <stile/wire/counterpoise.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

/// 2.4 m with a coil of 38 uH, Q 250, 1.2 m up.
WireCase loaded() {
  WireCase wires{"loaded", monopole(2.4, 0.002), perfect_ground()};
  WireCoil coil;
  coil.wire = 0;
  coil.distance_m = 1.2;
  coil.length_m = 0.02;
  coil.inductance_h = 38e-6;
  coil.q = 250.0;
  wires.antenna.coils.push_back(coil);
  return wires;
}

}  // namespace

TEST_CASE("a lengthened whip takes its coil and its hat along") {
  WireCase wires = loaded();
  Wire hat;
  hat.name = "hat";
  hat.radius_m = 0.002;
  const Vec3 top = wires.antenna.wires[0].points.back();
  hat.points = {top, {top.x_m + 0.5, top.y_m, top.z_m}};
  wires.antenna.wires.push_back(hat);
  const std::vector<Antenna> all = lengthened_whips(wires.antenna);
  REQUIRE(all.size() == 11);
  for (std::size_t n = 0; n < all.size(); ++n) {
    const double factor = 0.5 + 0.1 * static_cast<double>(n);
    CHECK(std::abs(wire_length_m(all[n].wires[0]) - factor * 2.4) <= 1e-12);
    CHECK(std::abs(all[n].coils[0].distance_m - factor * 1.2) <= 1e-12);
    CHECK(std::abs(wire_length_m(all[n].wires[1]) - 0.5) <= 1e-12);
    CHECK(std::abs(all[n].wires[1].points.front().z_m - all[n].wires[0].points.back().z_m) <= 1e-12);
    CHECK_NOTHROW(check_antenna(all[n], wires.ground));
  }
}

TEST_CASE("a moved coil stands where it may, in steps of a twentieth of the whip") {
  const WireCase wires = loaded();
  const std::vector<Antenna> all = moved_coils(wires.antenna, wires.ground);
  REQUIRE(all.size() == 19);
  for (std::size_t n = 0; n < all.size(); ++n)
    CHECK(std::abs(all[n].coils[0].distance_m - 0.12 * static_cast<double>(n + 1)) <= 1e-12);
  WireCase bare = loaded();
  bare.antenna.coils.clear();
  CHECK(moved_coils(bare.antenna, bare.ground).empty());
  WireCase wide = loaded();
  wide.antenna.coils[0].length_m = 0.4;  // within 0.2 m of an end it does not fit
  CHECK(moved_coils(wide.antenna, wide.ground).size() < 19);
}

TEST_CASE("a study solves each of its antennas, tuned with the Q that is stated") {
  WireCase wires = loaded();
  std::size_t told = 0;
  const AntennaStudy study = study_antenna(wires, 7e6, 120.0, {}, [&] { ++told; });
  CHECK(study.condition == "loaded");
  CHECK(told == study_count(wires));
  CHECK(told == 30);
  REQUIRE(study.coil.size() == 19);
  REQUIRE(study.length.size() == 11);
  // The coil at 1.2 m and the length of 2.4 m are the antenna itself.
  const AntennaSolution s = solve_antenna(wires.antenna, wires.ground, 7e6);
  for (const AntennaStudyPoint& p : {study.coil[9], study.length[5]}) {
    CHECK(std::abs(p.feed_ohm - s.feed_ohm) <= 1e-9 * std::abs(s.feed_ohm));
    CHECK(std::abs(p.efficiency - s.share.radiated) <= 1e-9);
    CHECK(std::abs(p.tuned_efficiency - tuned_efficiency(s, 120.0)) <= 1e-9);
  }
  wires.antenna.coils.clear();
  const AntennaSolution bare = solve_antenna(wires.antenna, wires.ground, 7e6);
  CHECK(std::abs(study_antenna(wires, 7e6, 200.0).length[5].tuned_efficiency - tuned_efficiency(bare, 200.0)) <= 1e-9);
}
