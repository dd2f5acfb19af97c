#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/boundary.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

cdouble load_of(cdouble gamma) { return 50.0 * (1.0 + gamma) / (1.0 - gamma); }

}  // namespace

TEST_CASE("the boundary of a lossless L is the closed form's lines and circles") {
  // Capacitor at the transmitter, R0 = 50 ohm: a fixed C is a line of constant R = R0/(1 + (w C R0)^2); a fixed L is
  // the circle (R - R0/2)^2 + (X + w L)^2 = (R0/2)^2. Capacitor at the load: the same in conductance and susceptance,
  // with G = R0/(R0^2 + (w L)^2) for a fixed L and |Y* - j w C - 1/(2 R0)| = 1/(2 R0) for a fixed C.
  ContinuousTuner t;
  t.inductor = {{0.4e-6, 12e-6}, {}, {}, {}};
  t.capacitor = {{25e-12, 900e-12}, {}, {}};
  const double f = 7.1e6, w = two_pi * f, r0 = 50.0;
  const std::vector<BoundaryCurve> curves = trace_boundary(t, f, r0, 50.0, 1e-3);
  REQUIRE(curves.size() == 8);
  std::size_t points = 0;
  for (const BoundaryCurve& curve : curves) {
    INFO(curve.label);
    CHECK((curve.label.find("capacitor on the load's side") != std::string::npos) ==
          (curve.points.front().setting.side == CapacitorSide::load));
    CHECK((curve.label.find("capacitor on the transmitter's side") != std::string::npos) ==
          (curve.points.front().setting.side == CapacitorSide::transmitter));
    const bool l_fixed = curve.label.find("inductor at ") == 0;
    const bool most = curve.label.find("at most") != std::string::npos;
    const double l = w * (most ? t.inductor.range_h.high : t.inductor.range_h.low),
                 c = w * (most ? t.capacitor.range_f.high : t.capacitor.range_f.low);
    for (const BoundaryPoint& p : curve.points) {
      const cdouble z = load_of(p.reflection), y = 1.0 / z;
      ++points;
      if (p.setting.side == CapacitorSide::transmitter) {
        if (l_fixed)
          CHECK(std::abs(std::abs(z - cdouble{r0 / 2, -l}) - r0 / 2) <= 1e-9 * r0);
        else
          CHECK(std::abs(z.real() - r0 / (1.0 + c * c * r0 * r0)) <= 1e-9 * r0);
      } else {
        if (l_fixed)
          CHECK(std::abs(y.real() - r0 / (r0 * r0 + l * l)) <= 1e-9 / r0);
        else
          CHECK(std::abs(std::abs(y - cdouble{0.5 / r0, -c}) - 0.5 / r0) <= 1e-9 / r0);
      }
    }
    // Ends: both parts at a limit.
    const auto at_limit = [](double v, double low, double high) { return v == low || v == high; };
    for (const BoundaryPoint& p : {curve.points.front(), curve.points.back()}) {
      CHECK(at_limit(p.setting.inductance_h, t.inductor.range_h.low, t.inductor.range_h.high));
      CHECK(at_limit(p.setting.capacitance_f, t.capacitor.range_f.low, t.capacitor.range_f.high));
    }
  }
  CHECK(points > 200);
}

TEST_CASE("every edge of a one-sided L is its outline") {
  ContinuousTuner t;
  t.capacitor_at_load = false;
  t.inductor = {{0.4e-6, 12e-6}, {}, {}, {}};
  t.capacitor = {{60e-12, 900e-12}, {}, {}};
  for (const BoundaryCurve& curve : trace_boundary(t, 7.1e6, 50.0)) {
    INFO(curve.label);
    for (std::size_t n = 0; n < curve.points.size(); ++n) CHECK(curve.points[n].outline);
  }
}

TEST_CASE("no chord of the boundary leaves its curve") {
  ContinuousTuner t;
  t.inductor = {{0.4e-6, 12e-6}, {}, {}, {}};
  t.inductor.loss.q = 100;
  t.capacitor = {{25e-12, 900e-12}, {}, {}};
  const double tolerance = 1e-3;
  for (const BoundaryCurve& curve : trace_boundary(t, 14.2e6, 50.0, 50.0, tolerance)) {
    for (std::size_t n = 1; n < curve.points.size(); ++n) {
      const BoundaryPoint &a = curve.points[n - 1], &b = curve.points[n];
      const cdouble chord = b.reflection - a.reflection;
      if (chord == 0.0) continue;
      for (const double part : {0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875}) {
        ContinuousSetting between = a.setting;
        between.inductance_h += part * (b.setting.inductance_h - a.setting.inductance_h);
        between.capacitance_f += part * (b.setting.capacitance_f - a.setting.capacitance_f);
        const cdouble z = matched_load(t, between, 14.2e6, 50.0), m = (z - 50.0) / (z + 50.0);
        INFO(curve.label << ' ' << n << ' ' << part);
        CHECK(std::abs(((m - a.reflection) * std::conj(chord)).imag()) / std::abs(chord) <= tolerance);
      }
    }
  }
}

TEST_CASE("loads change from matched to not matched only at the outline") {
  for (int kind = 0; kind < 5; ++kind) {
    ContinuousTuner t;
    t.form = kind == 4 ? TunerForm::t : static_cast<TunerForm>(kind);
    t.inductor = {{1e-6, 2.5e-6}, {}, {}, {}};
    t.inductor.loss.q = 150;
    t.capacitor = {{40e-12, 150e-12}, {}, {}};
    t.capacitor.loss.q = 1500;
    t.load_capacitor = {{40e-12, 120e-12}, {}, {}};
    t.load_inductor = {{0.5e-6, 1.5e-6}, {}, {}, {}};
    t.load_inductor.loss.q = 150;
    t.differential = kind == 4;
    const double f = 10.1e6;
    std::vector<cdouble> outline;
    for (const BoundaryCurve& curve : trace_boundary(t, f, 50.0, 50.0, 2e-3)) {
      for (const BoundaryPoint& p : curve.points) {
        if (p.outline) outline.push_back(p.reflection);
      }
    }
    constexpr int cells = 41;
    const double step = 1.96 / (cells - 1);
    std::vector<int> matched(cells * cells, -1);
    const auto gamma = [&](int n) { return cdouble{-0.98 + step * (n % cells), -0.98 + step * (n / cells)}; };
    int yes = 0, no = 0, changes = 0, far = 0;
    for (int n = 0; n < cells * cells; ++n) {
      if (std::abs(gamma(n)) > 0.98) continue;
      const bool found = match_continuous(t, f, 50.0, load_of(gamma(n))).status == TunerStatus::found;
      matched[static_cast<std::size_t>(n)] = found ? 1 : 0;
      ++(found ? yes : no);
    }
    for (int n = 0; n < cells * cells; ++n) {
      for (const int to : {n + 1, n + cells}) {
        if (to >= cells * cells || (to == n + 1 && to % cells == 0)) continue;
        const int a = matched[static_cast<std::size_t>(n)], b = matched[static_cast<std::size_t>(to)];
        if (a < 0 || b < 0 || a == b) continue;
        ++changes;
        const cdouble middle = 0.5 * (gamma(n) + gamma(to));
        double nearest = 9.0;
        for (const cdouble g : outline) nearest = std::min(nearest, std::abs(g - middle));
        if (nearest > 0.5 * step + 0.06) {
          ++far;
          UNSCOPED_INFO("between " << gamma(n) << " and " << gamma(to) << " nearest outline " << nearest);
        }
      }
    }
    INFO("kind " << kind << " matched " << yes << " not " << no << " changes " << changes);
    CHECK(yes > 30);
    CHECK(no > 30);
    CHECK(far == 0);
  }
}

TEST_CASE("every point of a boundary is the load that its setting matches") {
  for (const TunerForm form : {TunerForm::l, TunerForm::t, TunerForm::pi_network, TunerForm::lcl}) {
    ContinuousTuner t;
    t.form = form;
    t.inductor = {{1e-6, 2.5e-6}, {}, {}, {}};
    t.inductor.loss.q = 150;
    t.capacitor = {{40e-12, 150e-12}, {}, {}};
    t.load_capacitor = {{40e-12, 120e-12}, {}, {}};
    t.load_inductor = {{0.5e-6, 1.5e-6}, {}, {}, {}};
    std::size_t points = 0;
    for (const BoundaryCurve& curve : trace_boundary(t, 10.1e6, 50.0, 50.0, 5e-3)) {
      if (curve.label.find("fold") != std::string::npos) CHECK(curve.points.size() <= 129);
      for (const BoundaryPoint& p : curve.points) {
        const cdouble z = matched_load(t, p.setting, 10.1e6, 50.0), gamma = (z - 50.0) / (z + 50.0);
        INFO(curve.label);
        CHECK(std::abs(p.reflection - gamma) <= 1e-9);
        CHECK(std::abs((p.z_ohm - 50.0) / (p.z_ohm + 50.0) - gamma) <= 1e-9);
        ++points;
      }
    }
    CHECK(points > 100);
  }
}

TEST_CASE("stretches of a boundary keep its points and change at the other's first") {
  const auto point = [](cdouble gamma, bool outline) { return BoundaryPoint{{}, gamma, load_of(gamma), outline}; };
  const BoundaryCurve curves[] = {{"a",
                                   {point(0.1, true), point(0.2, true), point(0.3, false), point(0.4, false),
                                    point(1.2, false), point(0.5, true), point(0.6, true)}}};
  const std::vector<BoundaryStretch> stretches = boundary_stretches(curves, {});
  REQUIRE(stretches.size() == 3);
  CHECK(stretches[0].outline);
  CHECK(stretches[0].points.size() == 3);
  CHECK_FALSE(stretches[1].outline);
  CHECK(stretches[1].points.size() == 2);
  CHECK(stretches[2].points.size() == 2);
  CHECK(std::abs(stretches[2].points[1] - 0.6) <= 1e-15);
  MapGrid rx;
  rx.plane = MapPlane::impedance;
  rx.x_low = 0.0;
  rx.x_high = 10.0;
  rx.y_low = -10.0;
  rx.y_high = 10.0;
  REQUIRE(boundary_stretches(curves, rx).size() == 2);  // 200 ohm and more are far outside
  CHECK(boundary_stretches(curves, rx)[0].points[0] == load_of(0.1));
}

TEST_CASE("boundaries refuse what they cannot draw") {
  ContinuousTuner t;
  t.inductor = {{0.4e-6, 12e-6}, {}, {}, {}};
  t.capacitor = {{25e-12, 900e-12}, {}, {}};
  CHECK_THROWS_AS(trace_boundary(t, 0.0, 50.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 0.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0, 0.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0, 50.0, 0.0), DomainError);
  t.capacitor.range_f.high = 1e-12;
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0), DomainError);
}
