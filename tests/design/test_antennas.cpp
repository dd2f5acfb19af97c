// Antennas between those of the grid: what interpolation in lengths costs.

#include <algorithm>
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include <stile/design/detail/antennas.hpp>
#include <stile/load/load.hpp>
#include <stile/station/brief.hpp>

#include "design/briefs.hpp"

using namespace stile;
using namespace stile::design::detail;
using design::test::brief_text;
using design::test::BriefParts;

namespace {

/// What a match without loss, made for one load, loses on another, and what the share of power that leaves differs by,
/// dB.
double difference_db(const load::Load& a, const load::Load& b, double frequency_hz) {
  const cdouble z = load::load_impedance(a, frequency_hz), other = load::load_impedance(b, frequency_hz);
  const double mismatch = std::norm((other - z) / (other + std::conj(z)));
  const double radiated = load::load_shares(a, frequency_hz)->radiated / load::load_shares(b, frequency_hz)->radiated;
  return -10.0 * std::log10(1.0 - mismatch) + std::abs(10.0 * std::log10(radiated));
}

}  // namespace

TEST_CASE("the gain towards a path, interpolated, is within 0.2 dB of the solved one, with wires from 2.5 m on") {
  BriefParts parts;
  parts.whip = R"({ length = ["1.5 m", "4.5 m"], radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["1 m", "8 m"], radius = "0.5 mm", metal = "copper" })";
  parts.bands += "[[band]]\nname = \"10 m\"\nlow = \"28 MHz\"\nhigh = \"29 MHz\"\nuse = [\"28.2 MHz\", \"28.5 MHz\"]\n";
  parts.more = "[path]\nelevation = [\"60 deg\", \"80 deg\"]\n";
  const station::Brief brief = station::read_brief(brief_text(parts), "test");
  const Antennas antennas(brief, brief.given.bands);
  std::mt19937 random(7);
  const auto between = [&](double low, double high) {
    return std::round(100.0 * std::uniform_real_distribution<>(low, high)(random)) / 100.0;
  };
  double worst_db = 0.0;
  for (int trial = 0; trial < 12; ++trial) {
    const station::AntennaChoice antenna{between(1.5, 4.5), {between(2.5, 8.0)}, 0};
    const std::vector<load::Load> quick = antennas.interpolated(antenna), solved = antennas.solved(antenna);
    REQUIRE(quick.size() == 2);
    for (std::size_t c = 0; c < 2; ++c) {
      for (const double f : {7.1e6, 14.1e6, 28.2e6, 28.5e6}) {
        CAPTURE(antenna.whip_m, antenna.wires_m.front(), c, f);
        const double d = std::abs(
            10.0 * std::log10(load::load_path_gain(quick[c], f).value() / load::load_path_gain(solved[c], f).value()));
        CHECK(d <= 0.2);
        worst_db = std::max(worst_db, d);
      }
    }
  }
  CHECK(worst_db > 0.0);  // between the points of the grid
}

TEST_CASE("interpolated antennas are within 0.2 dB of solved ones, 1.2 dB with a wire below 2.5 m, and what is of the "
          "grid, or has a wire that does not "
          "lie yet, is solved") {
  BriefParts parts;
  parts.whip = R"({ length = ["1.5 m", "4.5 m"], radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["1 m", "8 m"], radius = "0.5 mm", metal = "copper" })";
  parts.bands += "[[band]]\nname = \"10 m\"\nlow = \"28 MHz\"\nhigh = \"29 MHz\"\nuse = [\"28.2 MHz\", \"28.5 MHz\"]\n";
  parts.bands +=
      "[[band]]\nname = \"80 m\"\nlow = \"3.5 MHz\"\nhigh = \"3.8 MHz\"\nuse = [\"3.645 MHz\", \"3.655 MHz\"]\n";
  const station::Brief brief = station::read_brief(brief_text(parts), "test");
  const Antennas antennas(brief, brief.given.bands);
  std::mt19937 random(5);
  const auto between = [&](double low, double high) {
    return std::round(100.0 * std::uniform_real_distribution<>(low, high)(random)) / 100.0;
  };
  for (int trial = 0; trial < 24; ++trial) {
    const station::AntennaChoice antenna{between(1.5, 4.5), {between(1.0, 8.0)}, 0};
    const std::vector<load::Load> quick = antennas.interpolated(antenna), solved = antennas.solved(antenna);
    REQUIRE(quick.size() == solved.size());
    REQUIRE(quick.size() == 2);
    double worst_db = 0.0;
    for (std::size_t c = 0; c < 2; ++c) {
      for (const double f : {3.65e6, 7.1e6, 14.1e6, 28.2e6, 28.5e6}) {
        CAPTURE(antenna.whip_m, antenna.wires_m.front(), c, f);
        const double d = difference_db(quick[c], solved[c], f);
        worst_db = std::max(worst_db, d);
      }
    }
    const double wire_m = antenna.wires_m.front();
    CHECK(worst_db <= (wire_m >= 2.5 ? 0.2 : wire_m > 2.0 ? 1.2 : 0.0));
  }
  CHECK(antennas.antennas() <= 7 * 15 + 24);
  const std::size_t before = antennas.antennas();
  antennas.interpolated({2.0, {3.5}, 0});  // of the grid
  CHECK(antennas.antennas() == before);
}

TEST_CASE("of three lengths a quadratic about an antenna is exact where it was solved, and where it reaches within 0.2 "
          "dB of half of the others, within 0.6 dB of eight in ten and within 6 dB of all") {
  BriefParts parts;
  parts.whip = R"({ length = ["2 m", "4.5 m"], radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise =
      R"({ wires = 2, length = ["2 m", "8 m"], layout = "bundle", radius = "0.5 mm", metal = "copper" })";
  parts.bands += "[[band]]\nname = \"10 m\"\nlow = \"28 MHz\"\nhigh = \"29 MHz\"\nuse = [\"28.2 MHz\", \"28.5 MHz\"]\n";
  const station::Brief brief = station::read_brief(brief_text(parts), "test");
  const Antennas antennas(brief, brief.given.bands);
  std::mt19937 random(11);
  const auto aside = [&] {
    return std::round(100.0 * std::uniform_real_distribution<>(-quadratic_reach_m, quadratic_reach_m)(random)) / 100.0;
  };
  const auto difference = [&](const station::AntennaChoice& antenna, const station::AntennaChoice& near) {
    const std::vector<load::Load> quick = antennas.interpolated(antenna, near), solved = antennas.solved(antenna);
    REQUIRE(quick.size() == 2);
    double worst_db = 0.0;
    for (std::size_t c = 0; c < 2; ++c) {
      for (const double f : {7.1e6, 14.1e6, 28.2e6, 28.5e6})
        worst_db = std::max(worst_db, difference_db(quick[c], solved[c], f));
    }
    return worst_db;
  };
  std::vector<double> apart_db;
  for (const station::AntennaChoice& near :
       {station::AntennaChoice{3.0, {6.0, 4.5}}, station::AntennaChoice{4.5, {8.0, 5.0}}}) {
    REQUIRE(antennas.many_lengths(near));
    CHECK(difference(near, near) <= 1e-9);
    // At either end of the limits the other two lie on one side.
    CHECK(difference(in_order({near.whip_m - quadratic_step_m, near.wires_m}), near) <= 1e-9);
    for (int trial = 0; trial < 15; ++trial) {
      const station::AntennaChoice antenna =
          in_order({std::min(near.whip_m + aside(), 4.5),
                    {std::min(near.wires_m[0] + aside(), 8.0), near.wires_m[1] + aside()}});
      apart_db.push_back(difference(antenna, near));
    }
  }
  std::sort(apart_db.begin(), apart_db.end());
  CAPTURE(apart_db);
  CHECK(apart_db[apart_db.size() / 2] <= 0.2);
  CHECK(apart_db[apart_db.size() * 8 / 10] <= 0.6);
  CHECK(apart_db.back() <= 6.0);
  // Without one near it is solved.
  const std::size_t before = antennas.antennas();
  antennas.interpolated({3.21, {6.43, 4.32}});
  CHECK(antennas.antennas() == before + 1);
}

TEST_CASE("antennas solved together are those solved one by one") {
  const station::Brief brief = station::read_brief(brief_text(), "test");
  const Antennas together(brief, brief.given.bands), each(brief, brief.given.bands);
  const std::vector<station::AntennaChoice> choices{{2.0, {3.0}}, {2.5, {3.0}}, {2.5, {4.5}}, {3.0, {1e-3}}};
  together.solve_all(choices, 2);
  CHECK(together.antennas() == 3);  // the last cannot be
  for (const station::AntennaChoice& choice : choices) {
    const std::vector<load::Load> a = together.solved(choice), b = each.solved(choice);
    REQUIRE(a.size() == b.size());
    for (std::size_t c = 0; c < a.size(); ++c) {
      for (const double f : {7.09e6, 7.11e6, 14.1e6})
        CHECK(load::load_impedance(a[c], f) == load::load_impedance(b[c], f));
    }
  }
  CHECK(together.antennas() == 3);
}

TEST_CASE("what interpolation is off by at solved lengths is taken off there whole, half as much at half the grid's "
          "distance and not at all beyond it") {
  BriefParts parts;
  parts.whip = R"({ length = ["2 m", "3.5 m"], radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["3 m", "6 m"], radius = "0.5 mm", metal = "copper" })";
  parts.more = "[path]\nelevation = [\"60 deg\", \"80 deg\"]\n";
  const station::Brief brief = station::read_brief(brief_text(parts), "test");
  const Antennas antennas(brief, brief.given.bands);
  const station::AntennaChoice at{2.7, {4.2}, 0}, half{2.6, {4.45}, 0}, near{2.75, {4.23}, 0}, beyond{2.7, {4.7}, 0};
  const auto at_interpolated = antennas.interpolated(at), at_solved = antennas.solved(at);
  const auto half_plain = antennas.interpolated(half), half_corrected = antennas.interpolated(half, at);
  const auto near_plain = antennas.interpolated(near), near_corrected = antennas.interpolated(near, at);
  const auto near_solved = antennas.solved(near), beyond_plain = antennas.interpolated(beyond);
  const auto whole = antennas.interpolated(at, at), none = antennas.interpolated(beyond, at);
  REQUIRE(at_solved.size() == 2);
  double worst_plain_db = 0.0, worst_corrected_db = 0.0;
  for (std::size_t c = 0; c < 2; ++c) {
    for (const double f : {7.1e6, 14.1e6}) {
      CAPTURE(c, f);
      const auto z = [&](const std::vector<load::Load>& loads) { return load::load_impedance(loads[c], f); };
      const auto reflection = [&](const std::vector<load::Load>& loads) {
        return (z(loads) - 300.0) / (z(loads) + 300.0);
      };
      const auto radiated = [&](const std::vector<load::Load>& loads) {
        return load::load_shares(loads[c], f)->radiated;
      };
      const auto gain = [&](const std::vector<load::Load>& loads) { return load::load_path_gain(loads[c], f).value(); };
      REQUIRE(std::abs(z(at_interpolated) - z(at_solved)) > 1e-6 * std::abs(z(at_solved)));
      CHECK(std::abs(z(whole) - z(at_solved)) <= 1e-9 * std::abs(z(at_solved)));
      CHECK(radiated(whole) == Approx(radiated(at_solved)).epsilon(1e-9));
      CHECK(gain(whole) == Approx(gain(at_solved)).epsilon(1e-9));
      const cdouble off = reflection(at_solved) - reflection(at_interpolated);
      CHECK(std::abs(reflection(half_corrected) - reflection(half_plain) - 0.5 * off) <= 1e-9);
      CHECK(std::abs(gain(half_corrected) - gain(half_plain) - 0.5 * (gain(at_solved) - gain(at_interpolated))) <=
            1e-9);
      CHECK(z(none) == z(beyond_plain));
      worst_plain_db = std::max(worst_plain_db, difference_db(near_plain[c], near_solved[c], f));
      worst_corrected_db = std::max(worst_corrected_db, difference_db(near_corrected[c], near_solved[c], f));
    }
  }
  INFO(worst_corrected_db << " of " << worst_plain_db << " dB");
  CHECK(worst_corrected_db <= 0.5 * worst_plain_db);
}
