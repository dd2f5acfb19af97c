#include <algorithm>
#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/wire/detail/matrix.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/resonance.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

struct Case {
  std::string id;
  Antenna antenna;
  Ground ground;
  double frequency_hz;
};

Case case_of(const Table& t, std::size_t r) {
  Case c{t.text(r, "id"), {}, {}, 1e6 * t.number(r, "f_MHz")};
  c.antenna.wires.push_back(bare(read_points(t.text(r, "whip_points_m")), t.number(r, "whip_radius_m"),
                                 read_conductivity(t.text(r, "whip_sigma_S_m")), "whip"));
  if (!t.text(r, "cp_points_m").empty())
    c.antenna.wires.push_back(bare(read_points(t.text(r, "cp_points_m")), t.number(r, "cp_radius_m"),
                                   read_conductivity(t.text(r, "cp_sigma_S_m")), "counterpoise"));
  c.antenna.feed.gap_m = t.number(r, "feed_gap_total_m");
  if (!t.text(r, "coil_centre_from_feed_m").empty())
    c.antenna.coils.push_back({0, t.number(r, "coil_centre_from_feed_m"), t.number(r, "coil_length_m"),
                               1e-6 * t.number(r, "coil_L_uH"), t.number(r, "coil_Q"), 0.0});
  const std::string ground = t.text(r, "ground");
  c.ground = ground == "free"  ? free_space()
             : ground == "pec" ? perfect_ground()
                               : lossy_ground(t.number(r, "eps_r"), t.number(r, "sigma_S_m"));
  return c;
}

void check_shares(const AntennaSolution& s, const Table& t, std::size_t r) {
  CHECK(std::abs(s.share.radiated - t.number(r, "P_far_over_Pin")) <= 0.01 * t.number(r, "P_far_over_Pin"));
  CHECK(std::abs(s.share.metal - t.number(r, "metal_loss_over_Pin")) <=
        0.01 * t.number(r, "metal_loss_over_Pin") + 1e-6);
  CHECK(std::abs(s.share.coil - t.number(r, "coil_loss_over_Pin")) <= 0.01 * t.number(r, "coil_loss_over_Pin") + 1e-6);
  CHECK(std::abs(s.share.radiated + s.share.ground + s.share.metal + s.share.coil - 1.0) <= 1e-12);
}

}  // namespace

TEST_CASE("every case row at default cells within its own tolerance, 4 percent of R and 1.2 percent of the impedance") {
  const Table t = reference("cases.csv");
  REQUIRE(t.rows.size() == 24);
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const Case c = case_of(t, r);
    const AntennaSolution s = solve_antenna(c.antenna, c.ground, c.frequency_hz);
    const cdouble expected{t.number(r, "R_ohm"), t.number(r, "X_ohm")};
    INFO(c.id << " " << s.feed_ohm << " expected " << expected << " unknowns " << s.unknowns);
    CHECK(std::abs(s.feed_ohm.real() - expected.real()) <= t.number(r, "tol_R_ohm"));
    CHECK(std::abs(s.feed_ohm.imag() - expected.imag()) <= t.number(r, "tol_X_ohm"));
    CHECK(std::abs(s.feed_ohm - expected) <= 0.012 * std::abs(expected));
    CHECK(std::abs(s.feed_ohm.real() - expected.real()) <= 0.04 * expected.real());
    check_shares(s, t, r);
  }
}

TEST_CASE("every case row at fine cells within 0.6 percent of the impedance") {
  const Table t = reference("cases.csv");
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const Case c = case_of(t, r);
    const AntennaSolution s = solve_antenna(c.antenna, c.ground, c.frequency_hz, {3.0, GroundMethod::rigorous, 2000});
    const cdouble expected{t.number(r, "R_ohm"), t.number(r, "X_ohm")};
    INFO(c.id << " " << s.feed_ohm << " expected " << expected << " unknowns " << s.unknowns);
    CHECK(std::abs(s.feed_ohm - expected) <= 0.006 * std::abs(expected));
    check_shares(s, t, r);
  }
}

TEST_CASE("the complex image stays within its stated error on the case rows with a wire") {
  const Table t = reference("cases.csv");
  int rows = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const Case c = case_of(t, r);
    if (c.ground.kind != GroundKind::lossy) continue;
    const AntennaSolution s =
        solve_antenna(c.antenna, c.ground, c.frequency_hz, {1.0, GroundMethod::complex_image, 2000});
    const cdouble expected{t.number(r, "R_ohm"), t.number(r, "X_ohm")};
    INFO(c.id << " " << s.feed_ohm << " expected " << expected);
    const double r_error = s.feed_ohm.real() / expected.real() - 1.0;
    const bool frame_alone = c.id == "K2";
    CHECK(r_error >= (frame_alone ? -0.30 : -0.04));
    CHECK(r_error <= 0.22);
    CHECK(std::abs(s.feed_ohm.imag() - expected.imag()) <= 0.1 * std::abs(expected));
    ++rows;
  }
  CHECK(rows == 9);
}

TEST_CASE("far field power is input power in free space and over perfect ground") {
  const Table t = reference("cases.csv");
  int rows = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const Case c = case_of(t, r);
    if (c.ground.kind == GroundKind::lossy) continue;
    const AntennaSolution s = solve_antenna(c.antenna, c.ground, c.frequency_hz);
    INFO(c.id << " " << s.power_balance);
    CHECK(std::abs(s.power_balance - 1.0) <= 1e-5);
    ++rows;
  }
  CHECK(rows == 15);
}

TEST_CASE("energy balance over a lossless dielectric half-space") {
  for (const double permittivity : {1.5, 4.0, 15.0, 80.0}) {
    for (const double f : {3.5e6, 7e6, 14e6, 28e6}) {
      const AntennaSolution s = solve_antenna(whip_with_wire(), lossy_ground(permittivity, 0.0), f);
      const double balance = s.share.radiated + down_power_w(s) / s.antenna_ohm.real();
      INFO("permittivity " << permittivity << " frequency " << f << " balance " << balance);
      CHECK(std::abs(balance - 1.0) <= 3e-6);
      CHECK(std::abs(s.share.ground - down_power_w(s) / s.antenna_ohm.real()) <= 3e-6);
    }
  }
}

TEST_CASE("ground that is almost air gives free space and a very good one perfect ground") {
  const Antenna a = whip_with_wire();
  const cdouble air = solve_antenna(a, free_space(), 7e6).feed_ohm;
  CHECK(solve_antenna(a, lossy_ground(1.0, 0.0), 7e6).feed_ohm == air);
  const auto change = [&](double contrast) {
    return solve_antenna(a, lossy_ground(1.0 + contrast, 0.0), 7e6).feed_ohm - air;
  };
  const cdouble small = change(1e-4);
  CHECK(std::abs(small) <= 1e-3 * std::abs(air));
  CHECK(std::abs(small - 10.0 * change(1e-5)) <= 0.01 * std::abs(small));  // vanishes in proportion
  const cdouble perfect = solve_antenna(a, perfect_ground(), 7e6).feed_ohm;
  double before = 1.0;
  for (const double conductivity : {1e2, 1e4, 1e6}) {
    const double error =
        std::abs(solve_antenna(a, lossy_ground(1.0, conductivity), 7e6).feed_ohm - perfect) / std::abs(perfect);
    INFO("conductivity " << conductivity << " error " << error);
    CHECK(error < 0.2 * before);  // falls with the skin depth, ten times for each two decades
    before = error;
  }
  CHECK(before < 1e-4);
}

TEST_CASE("halving the cells moves the impedance by less than stated") {
  for (const Ground& g : {free_space(), perfect_ground(), ground_by_name("average")}) {
    for (const double f : {3.6e6, 7.1e6, 14.2e6, 28.4e6}) {
      const cdouble z = solve_antenna(whip_with_wire(), g, f).feed_ohm;
      const cdouble finer = solve_antenna(whip_with_wire(), g, f, {2.0, GroundMethod::rigorous, 2000}).feed_ohm;
      INFO("frequency " << f << " " << z << " " << finer);
      CHECK(std::abs(z - finer) <= 0.01 * std::abs(finer));
    }
  }
}

TEST_CASE("reciprocity over lossy ground does not depend on who is test and who is source") {
  // The same mesh with its cells in reverse order: every pair of cells is then integrated the other way round.
  using namespace stile::wire::detail;
  const Antenna a = whip_with_wire();
  for (const Ground& g : {free_space(), perfect_ground(), ground_by_name("wet"), ground_by_name("very dry")}) {
    for (const double f : {3.6e6, 28.4e6}) {
      const Mesh mesh = make_mesh(a, g, f, 1.0, 2000);
      Mesh reversed = mesh;
      std::reverse(reversed.cells.begin(), reversed.cells.end());
      for (CurrentFunction& function : reversed.functions) {
        for (HalfFunction& h : function.halves) h.cell = mesh.cells.size() - 1 - h.cell;
      }
      GroundTables tables;
      const GroundModel model = make_ground_model(g, f, GroundMethod::rigorous, tables);
      const std::vector<cdouble> z = impedance_matrix(a, mesh, cell_losses(a, mesh, f), model, f);
      const std::vector<cdouble> other = impedance_matrix(a, reversed, cell_losses(a, reversed, f), model, f);
      const std::size_t n = mesh.functions.size();
      double worst = 0.0;
      for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t k = 0; k < n; ++k) {
          const double scale = std::sqrt(std::abs(z[i * n + i]) * std::abs(z[k * n + k]));
          worst = std::max(worst, std::abs(z[i * n + k] - other[k * n + i]) / scale);
        }
      }
      INFO("frequency " << f << " worst " << worst);
      CHECK(worst <= 1e-10);
      const cdouble y = 1.0 / solve_antenna(a, g, f).feed_ohm;
      cdouble feed = 0.0;
      const std::vector<cdouble> x = solve_currents(reversed, other);
      for (std::size_t i = 0; i < n; ++i) {
        for (const HalfFunction& h : reversed.functions[i].halves)
          feed += 0.5 * h.sign * reversed.cells[h.cell].feed_v_m * reversed.cells[h.cell].length_m * x[i];
      }
      CHECK(std::abs(feed - y) <= 1e-8 * std::abs(y));
    }
  }
}

TEST_CASE("a dipole is twice a monopole over perfect ground") {
  for (const double f : {3.5e6, 14e6, 28e6}) {
    const cdouble half = solve_antenna(monopole(2.4, 0.002, 0.01), perfect_ground(), f).feed_ohm;
    const cdouble whole = solve_antenna(dipole(2.4, 0.002, 0.02), free_space(), f).feed_ohm;
    CHECK(std::abs(whole - 2.0 * half) <= 1e-3 * std::abs(whole));
  }
}

TEST_CASE("far field power of an antenna of several wavelengths") {
  const AntennaSolution s = solve_antenna(dipole(25.0, 0.001, 0.02), free_space(), 29e6);  // 5 wavelengths
  INFO(s.unknowns << " " << s.power_balance);
  CHECK(std::abs(s.power_balance - 1.0) <= 1e-5);
  Antenna level = dipole(25.0, 0.001, 0.02, 3.0, false);
  CHECK(std::abs(solve_antenna(level, perfect_ground(), 29e6).power_balance - 1.0) <= 1e-4);
}

TEST_CASE("an antenna in free space may stand anywhere and point anywhere") {
  const cdouble up = solve_antenna(dipole(2.4, 0.002, 0.02), free_space(), 14e6).feed_ohm;
  const cdouble level = solve_antenna(dipole(2.4, 0.002, 0.02, 100.0, false), free_space(), 14e6).feed_ohm;
  CHECK(std::abs(up - level) <= 1e-9 * std::abs(up));
}

TEST_CASE("base capacitance stands across the terminals and takes no power") {
  Antenna a = monopole(2.4, 0.002);
  const AntennaSolution without = solve_antenna(a, perfect_ground(), 7e6);
  a.feed.base_capacitance_f = 4e-12;
  const AntennaSolution with = solve_antenna(a, perfect_ground(), 7e6);
  CHECK(with.antenna_ohm == without.antenna_ohm);
  const cdouble y = 1.0 / without.feed_ohm + cdouble(0.0, two_pi * 7e6 * 4e-12);
  CHECK(std::abs(with.feed_ohm - 1.0 / y) <= 1e-12 * std::abs(with.feed_ohm));
  CHECK(with.share.radiated == without.share.radiated);
  CHECK(with.feed_ohm.imag() > 0.9 * without.feed_ohm.imag());  // 10 to 20 percent for 2 to 5 pF: not negligible
}

TEST_CASE("a spread coil and a point coil agree and self-capacitance raises its reactance") {
  Antenna a = monopole(2.4, 0.002);
  a.coils.push_back({0, 1.2, 0.02, 38e-6, 250.0, 0.0});
  const cdouble spread = solve_antenna(a, perfect_ground(), 7e6).feed_ohm;
  a.coils[0].length_m = 0.0;
  const cdouble point = solve_antenna(a, perfect_ground(), 7e6).feed_ohm;
  CHECK(std::abs(spread - point) <= 0.01 * two_pi * 7e6 * 38e-6);
  a.coils[0].self_capacitance_f = 1e-12;
  CHECK(solve_antenna(a, perfect_ground(), 7e6).feed_ohm.imag() > point.imag() + 50.0);
  a.coils[0] = {0, 1.2, 0.02, 0.0, 250.0, 0.0};
  const cdouble none = solve_antenna(monopole(2.4, 0.002), perfect_ground(), 7e6).feed_ohm;
  CHECK(std::abs(solve_antenna(a, perfect_ground(), 7e6).feed_ohm - none) <= 2e-3 * std::abs(none));
}

TEST_CASE("insulation lowers the resonance of a wire") {
  Antenna a = dipole(10.0, 0.001, 0.02);
  const double bare_x = solve_antenna(a, free_space(), 7e6).feed_ohm.imag();
  for (Wire& w : a.wires) w.insulation = Insulation{0.001, 3.0};
  const double coated_x = solve_antenna(a, free_space(), 7e6).feed_ohm.imag();
  // The wave is slower by about sqrt(1 + (1 - 1/3) ln 2 / ln(wavelength/2 pi a)) = 1.026; dX/dl near resonance is about
  // 120 (ln(2l/a) - 1) pi/2 for the whole: 2.6 percent make some 40 ohm.
  CHECK(coated_x - bare_x > 20.0);
  CHECK(coated_x - bare_x < 60.0);
  for (Wire& w : a.wires) w.insulation = Insulation{0.001, 1.0};
  CHECK(std::abs(solve_antenna(a, free_space(), 7e6).feed_ohm.imag() - bare_x) < 1e-9);
}

TEST_CASE(
    "insulation lowers resonance by 2.4 percent raised and 12 percent lying of wires chosen so as to meet this, and "
    "more the lower they lie") {
  // Regression values of this solver, no measurement. 2.4 and 12 percent: second-hand, see model.md of this
  // collection's loads, section 10 (it names no author, title or year, and no wires; computed there by the same formula
  // for the coat). The wires are chosen here so as to meet them: 0.8 mm of permittivity 3.5, the PVC of its rows of
  // radials, on a dipole of 2 x 10 m: 4 mm2 (radius 1.13 mm, as the dipole of dipole_80m_at_1m.csv) 20 m up, and 0.5 mm
  // at 5 mm over average soil, the lowest of its wires.
  const auto lowered = [](double radius_m, double height_m, double low_hz, double high_hz) {
    Antenna a = dipole(10.0, radius_m, 0.02, height_m, false);
    for (Wire& w : a.wires) w.conductivity_s_m = 5.8e7;
    const SolveOptions half{0.5, GroundMethod::rigorous, 2000, {}};
    const auto resonance_hz = [&] {
      const Root root = resonant_frequency(a, ground_by_name("average"), low_hz, high_hz, half);
      REQUIRE(root.status == RootStatus::found);
      return root.x;
    };
    const double bare_hz = resonance_hz();
    for (Wire& w : a.wires) w.insulation = Insulation{0.0008, 3.5};
    return 1.0 - resonance_hz() / bare_hz;
  };
  const double raised = lowered(0.00113, 20.0, 6.5e6, 8e6);
  INFO("raised " << raised);
  CHECK(std::abs(raised - 0.024) <= 0.0005);
  const double lies_low = lowered(0.0005, 0.005, 3.5e6, 6e6), lies = lowered(0.0005, 0.02, 3.5e6, 7e6);
  INFO("lying at 5 mm " << lies_low << ", at 20 mm " << lies);
  CHECK(std::abs(lies_low - 0.12) <= 0.002);
  CHECK(std::abs(lies - 0.082) <= 0.002);  // computed here
  // The law: soil near a coat makes more of it, and the height decides as much as the coat.
  CHECK(raised < lies);
  CHECK(lies < lies_low);
}

TEST_CASE("a hat brings the whip down to resonance and several wires share the current") {
  Antenna a = monopole(2.4, 0.002);
  const double plain = solve_antenna(a, perfect_ground(), 14e6).feed_ohm.imag();
  for (const double angle : {0.0, 0.5 * pi, pi, 1.5 * pi})
    a.wires.push_back(bare({{0, 0, 2.4}, {0.5 * std::cos(angle), 0.5 * std::sin(angle), 2.4}}, 0.001));
  const AntennaSolution s = solve_antenna(a, perfect_ground(), 14e6);
  CHECK(s.feed_ohm.imag() > plain + 150.0);
  CHECK(std::abs(s.power_balance - 1.0) < 1e-5);
  cdouble top = 0.0, out = 0.0;
  std::vector<double> spokes;
  for (const CellCurrent& c : s.cells) {
    if (c.wire == 0 && std::abs(c.end.z_m - 2.4) < 1e-9) top = c.end_a;
    if (c.wire > 0 && c.distance_m == 0.0) {
      out += c.start_a;
      spokes.push_back(std::abs(c.start_a));
    }
  }
  CHECK(spokes.size() == 4);
  CHECK(std::abs(top - out) <= 1e-12 * std::abs(top));  // what goes in comes out
  CHECK(std::abs(spokes[0] - spokes[2]) <= 1e-9 * spokes[0]);
}

TEST_CASE("current at the feed is 1 A and vanishes at free ends") {
  const AntennaSolution s = solve_antenna(whip_with_wire(), ground_by_name("wet"), 7e6);
  for (const CellCurrent& c : s.cells) {
    if (std::abs(c.end.z_m - 3.6) < 1e-9 || std::abs(c.end.x_m - 6.2) < 1e-9) CHECK(c.end_a == 0.0);
    if (c.distance_m == 0.0) CHECK(std::abs(std::abs(0.5 * (c.start_a + c.end_a)) - 1.0) < 0.01);
  }
}

TEST_CASE("the grid that all antennas share gives what each antenna's own tables gave, to 5e-5") {
  const Table t = reference("before_shared_tables.csv");
  REQUIRE(t.rows.size() == 72);
  const SolveOptions shared = with_tables({});
  double worst = 0.0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const double z = t.number(r, "wire_z_m");
    Antenna a;
    a.wires.push_back(bare({{0, 0, 1.2}, {0, 0, 4.2}}, 0.0015, 1.4e6, "whip"));
    a.wires.push_back(bare(z == 1.2 ? std::vector<Vec3>{{0, 0, 1.2}, {6.5, 0, 1.2}}
                                    : std::vector<Vec3>{{0, 0, 1.2}, {1.2, 0, z}, {6, 0.4, z}},
                           0.0005, 5.8e7, "wire"));
    a.coils.push_back({0, 1.5, 0.05, 8e-6, 250.0, 0.0});
    a.feed.gap_m = 0.02;
    const AntennaSolution s = solve_antenna(a, ground_by_name(t.text(r, "soil")), t.number(r, "frequency_hz"), shared);
    const cdouble before{t.number(r, "r_ohm"), t.number(r, "x_ohm")};
    INFO(t.text(r, "soil") << " " << z << " m " << s.frequency_hz << ": " << s.feed_ohm << " before " << before);
    CHECK(std::abs(s.feed_ohm - before) <= 5e-5 * std::abs(before));
    CHECK(std::abs(s.feed_ohm.real() / before.real() - 1.0) <= 5e-5);
    CHECK(std::abs(s.share.radiated - t.number(r, "radiated")) <= 5e-5);
    CHECK(std::abs(s.share.metal - t.number(r, "metal")) <= 5e-5);
    CHECK(std::abs(s.share.coil - t.number(r, "coil")) <= 5e-5);
    worst = std::max(worst, std::abs(s.feed_ohm - before) / std::abs(before));
  }
  CHECK(worst > 1e-9);  // it is another computation
}

TEST_CASE("tables shared by a run change nothing, whoever came before") {
  const Ground ground = ground_by_name("average");
  const SolveOptions shared = with_tables({});
  std::vector<Antenna> antennas;
  for (const double z : {0.02, 0.1, 1.2}) {
    antennas.push_back(whip_with_wire());
    antennas.back().wires[1].points.back().z_m = z;
  }
  antennas.push_back(dipole(8.0, 0.001, 0.02, 6.0, false));
  for (const double f : {3.6e6, 28.4e6}) {
    for (const Antenna& a : antennas) {
      const AntennaSolution alone = solve_antenna(a, ground, f), in_run = solve_antenna(a, ground, f, shared);
      CHECK(in_run.feed_ohm == alone.feed_ohm);
      CHECK(in_run.share.radiated == alone.share.radiated);
    }
  }
  CHECK(with_tables(shared).tables == shared.tables);
}

TEST_CASE("what the solver refuses") {
  const Antenna a = whip_with_wire();
  CHECK_THROWS_AS(solve_antenna(a, free_space(), 0.0), DomainError);
  CHECK_THROWS_AS(solve_antenna(a, free_space(), 1e9), DomainError);
  CHECK_THROWS_AS(solve_antenna(a, free_space(), std::nan("")), DomainError);
  CHECK_THROWS_AS(solve_antenna(a, free_space(), 7e6, {0.0, GroundMethod::rigorous, 2000}), DomainError);
  CHECK_THROWS_AS(solve_antenna(a, free_space(), 7e6, {17.0, GroundMethod::rigorous, 2000}), DomainError);
  CHECK_THROWS_AS(solve_antenna(monopole(1e7, 0.002), perfect_ground(), 3e8), DomainError);  // at once, not after hours
  try {
    solve_antenna(a, free_space(), 7e6, {16.0, GroundMethod::rigorous, 300});
    FAIL("300 unknowns are not enough here");
  } catch (const DomainError& e) {
    const std::string message = e.what();
    CHECK(message.find("300 unknowns") != std::string::npos);
    CHECK(message.find("MB") != std::string::npos);
  }
}
