#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/boundary.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

using namespace stile;

namespace {

cdouble load_of(cdouble gamma) { return 50.0 * (1.0 + gamma) / (1.0 - gamma); }

}  // namespace

TEST_CASE("the boundary of a lossless L is the closed form's lines and circles") {
  // Capacitor at the transmitter, R0 = 50 ohm: a fixed C is a line of constant R = R0/(1 + (w C R0)^2); a fixed L is the
  // circle (R - R0/2)^2 + (X + w L)^2 = (R0/2)^2. Capacitor at the load: the same in conductance and susceptance, with
  // G = R0/(R0^2 + (w L)^2) for a fixed L and |Y* - j w C - 1/(2 R0)| = 1/(2 R0) for a fixed C.
  ContinuousTuner t;
  t.inductor = {0.4e-6, 12e-6, {}, {}, {}};
  t.capacitor = {25e-12, 900e-12, {}, {}};
  const double f = 7.1e6, w = two_pi * f, r0 = 50.0;
  const std::vector<BoundaryCurve> curves = trace_boundary(t, f, r0, 50.0, 1e-3);
  REQUIRE(curves.size() == 8);
  std::size_t points = 0;
  for (const BoundaryCurve& curve : curves) {
    INFO(curve.label);
    const bool l_fixed = curve.label.find("inductor at ") == 0;
    const bool most = curve.label.find("at most") != std::string::npos;
    const double l = w * (most ? t.inductor.most_h : t.inductor.least_h),
                 c = w * (most ? t.capacitor.most_f : t.capacitor.least_f);
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
      CHECK(at_limit(p.setting.inductance_h, t.inductor.least_h, t.inductor.most_h));
      CHECK(at_limit(p.setting.capacitance_f, t.capacitor.least_f, t.capacitor.most_f));
    }
  }
  CHECK(points > 200);
}

TEST_CASE("every edge of a one-sided L is its outline") {
  ContinuousTuner t;
  t.capacitor_at_load = false;
  t.inductor = {0.4e-6, 12e-6, {}, {}, {}};
  t.capacitor = {60e-12, 900e-12, {}, {}};
  for (const BoundaryCurve& curve : trace_boundary(t, 7.1e6, 50.0)) {
    INFO(curve.label);
    for (std::size_t n = 0; n < curve.points.size(); ++n) CHECK(curve.points[n].outline);
  }
}

TEST_CASE("no chord of the boundary leaves its curve") {
  ContinuousTuner t;
  t.inductor = {0.4e-6, 12e-6, {}, {}, {}};
  t.inductor.loss.q = 100;
  t.capacitor = {25e-12, 900e-12, {}, {}};
  const double tolerance = 1e-3;
  for (const BoundaryCurve& curve : trace_boundary(t, 14.2e6, 50.0, 50.0, tolerance)) {
    for (std::size_t n = 1; n < curve.points.size(); ++n) {
      const BoundaryPoint &a = curve.points[n - 1], &b = curve.points[n];
      ContinuousSetting middle = a.setting;
      middle.inductance_h = 0.5 * (a.setting.inductance_h + b.setting.inductance_h);
      middle.capacitance_f = 0.5 * (a.setting.capacitance_f + b.setting.capacitance_f);
      const cdouble z = matched_load(t, middle, 14.2e6, 50.0), m = (z - 50.0) / (z + 50.0);
      const cdouble chord = b.reflection - a.reflection;
      if (chord == 0.0) continue;
      INFO(curve.label << ' ' << n);
      CHECK(std::abs(((m - a.reflection) * std::conj(chord)).imag()) / std::abs(chord) <= 1.5 * tolerance);
    }
  }
}

TEST_CASE("loads change from matched to not matched only at the outline") {
  for (int kind = 0; kind < 5; ++kind) {
    ContinuousTuner t;
    t.form = kind == 4 ? TunerForm::t : static_cast<TunerForm>(kind);
    t.inductor = {1e-6, 2.5e-6, {}, {}, {}};
    t.inductor.loss.q = 150;
    t.capacitor = {40e-12, 150e-12, {}, {}};
    t.capacitor.loss.q = 1500;
    t.load_capacitor = {40e-12, 120e-12, {}, {}};
    t.load_inductor = {0.5e-6, 1.5e-6, {}, {}, {}};
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

TEST_CASE("boundaries refuse what they cannot draw") {
  ContinuousTuner t;
  t.inductor = {0.4e-6, 12e-6, {}, {}, {}};
  t.capacitor = {25e-12, 900e-12, {}, {}};
  CHECK_THROWS_AS(trace_boundary(t, 0.0, 50.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 0.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0, 0.0), DomainError);
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0, 50.0, 0.0), DomainError);
  t.capacitor.most_f = 1e-12;
  CHECK_THROWS_AS(trace_boundary(t, 7e6, 50.0), DomainError);
}
