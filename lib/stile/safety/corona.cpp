#include <stile/safety/corona.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/coil/air.hpp>
#include <stile/safety/contact.hpp>
#include <stile/safety/distances.hpp>
#include <stile/wire/near_field.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::safety {

using namespace wire::detail;
using wire::Vec3;

namespace {

/// Field along a straight way, summed: V rms for the case's power.
double voltage_rms(const ExposureCase& one, Vec3 from, Vec3 direction, double from_m, double to_m,
                   const ExposureOptions& options) {
  constexpr int pieces = 80;
  const double step = std::log(to_m / from_m) / pieces;
  std::vector<Vec3> points;
  std::vector<double> weight_m;  // ds = s d(ln s)
  for (int n = 0; n <= pieces; ++n) {
    const double s = from_m * std::exp(n * step);
    points.push_back(from + s * direction);
    points.back().z_m = std::max(0.0, points.back().z_m);  // rounding
    weight_m.push_back((n == 0 || n == pieces ? 0.5 : 1.0) * step * s);
  }
  const std::vector<wire::NearField> fields =
      wire::near_field(one.solution, points, one.power_w, options.solve.tables, options.threads);
  cdouble sum{};
  for (std::size_t n = 0; n < points.size(); ++n) {
    const wire::NearField& f = fields[n];
    sum += weight_m[n] * (f.ex_v_m * direction.x_m + f.ey_v_m * direction.y_m + f.ez_v_m * direction.z_m);
  }
  return std::abs(sum);
}

/// Length of the outermost cell: the currents' charge is even over it, so what stands at the very end is not known.
double last_cell_m(const wire::AntennaSolution& solution, std::size_t wire) {
  double outermost_m = -1.0, length_m = 0.0;
  for (const wire::CellCurrent& c : solution.cells) {
    if (c.wire != wire || c.distance_m <= outermost_m) continue;
    outermost_m = c.distance_m;
    length_m = c.length_m;
  }
  return length_m;
}

}  // namespace

double corona_onset_v_peak(double radius_m, double pressure_pa) {
  require(std::isfinite(radius_m) && radius_m > 0.0, "radius_m must be > 0");
  return radius_m * coil::corona_field_v_m_peak(radius_m, coil::relative_air_density(pressure_pa, 20.0));
}

std::vector<Tip> tips(const ExposureCase& one, double altitude_m, const ExposureOptions& given) {
  require(std::isfinite(one.power_w) && one.power_w > 0.0, "power_w must be > 0");
  const double pressure_pa = air_pressure_pa(altitude_m);
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const wire::Antenna& a = one.wires.antenna;
  std::vector<WireEnd> ends = free_ends(one.wires);
  const std::vector<Vec3>& fed = a.wires[a.feed.wire].points;
  const Vec3 last = fed.back() - fed[fed.size() - 2];
  ends.insert(ends.begin(), {a.feed.wire, fed.back(), (1.0 / norm(last)) * last});
  std::vector<Tip> all;
  const double away = azimuth_from_carrier(one.wires);
  for (const WireEnd& end : ends) {
    const wire::Wire& w = a.wires[end.wire];
    const bool whip = end.wire == a.feed.wire;
    constexpr double far_m = 30.0;
    // A conductor has one voltage near its end: it is taken where the cells show it.
    const Vec3 from = end.at - 1.5 * last_cell_m(one.solution, end.wire) * end.direction;
    const double to_m = whip ? far_m : from.z_m;
    if (to_m <= w.radius_m) continue;
    const Vec3 direction = whip ? Vec3{std::cos(away), std::sin(away), 0.0} : Vec3{0.0, 0.0, -1.0};
    const double v = voltage_rms(one, from, direction, w.radius_m, to_m, options);
    all.push_back({fmt::format("the {} of \"{}\"", whip ? "tip" : "end", w.name), end.at, std::numbers::sqrt2 * v,
                   w.radius_m, corona_onset_v_peak(w.radius_m, pressure_pa),
                   corona_onset_v_peak(cut_radius_m, pressure_pa)});
  }
  return all;
}

std::vector<Tip> at_power(std::vector<Tip> tips, double from_w, double to_w) {
  require(from_w > 0.0 && to_w > 0.0, "both powers must be > 0");
  for (Tip& t : tips) t.v_peak *= std::sqrt(to_w / from_w);
  return tips;
}

}  // namespace stile::safety
