#include <stile/safety/distances.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/range.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/near_field.hpp>

namespace stile::safety {

using wire::NearField;
using wire::Vec3;

namespace {

constexpr int heights = body_points;
constexpr double stature_m = wire::PersonBody{}.stature_m, farthest_m = 250.0,
                 trunk_radius_m = wire::PersonBody{}.radius_m;

/// Quiet for two rings and this far from every conductor, a direction is done.
constexpr double asleep_m = 1.0;

double height_of(int n) { return (n + 0.5) / heights * stature_m; }

/// The field of a standing person at one place, as one level sees it: a ratio, and the height of the strongest field.
struct Seen {
  double ratio = 0.0, height_m = 0.0;
};

/// @param height_m  of the fields; whole-body levels see those along a body
Seen seen_by(const LevelAt& level, std::span<const NearField> fields, std::span<const double> height_m,
             double power_share) {
  Seen worst;
  double e2 = 0.0, h2 = 0.0;
  for (std::size_t n = 0; n < fields.size(); ++n) {
    const double e = fields[n].e_v_m(), h = fields[n].h_a_m(), ratio = field_ratio(level, e, h, power_share);
    if (n < heights) {
      e2 += e * e / heights;
      h2 += h * h / heights;
    }
    if (ratio > worst.ratio) worst = {ratio, height_m[n]};
  }
  if (level.scope == "whole body") worst.ratio = field_ratio(level, std::sqrt(e2), std::sqrt(h2), power_share);
  return worst;
}

/// One search: rings about a point, in some directions.
struct Search {
  Vec3 centre;
  std::vector<double> azimuth_rad;
  double extent_m = 0.0;  // inside of which a ring without anything above a level does not end the search
  std::vector<double>
      vertices_m{};  // how far out points of wires lie: a ring goes through each, and one close beyond it
};

std::vector<LevelReach> search(const Search& s, const std::string& around, bool wire_end, const ExposureCase& one,
                               const wire::Antenna& bare_wires, const wire::AntennaSolution& bare,
                               const std::vector<LevelAt>& levels, const ExposureOptions& options) {
  std::vector<LevelReach> reaches;
  for (const LevelAt& level : levels) {
    LevelReach r{around, wire_end, level, {}, {}};
    for (const double azimuth : s.azimuth_rad) r.directions.push_back({azimuth * 180.0 / pi, 0.0, 0.0});
    reaches.push_back(std::move(r));
  }
  std::vector<double> share;
  share.reserve(levels.size());
  for (const LevelAt& level : levels) share.push_back(mean_power_share(options.duty, level.averaging_s));
  std::vector<double> height_m;
  height_m.reserve(heights + 1);
  for (int n = 0; n < heights; ++n) height_m.push_back(height_of(n));
  if (wire_end) height_m.push_back(s.centre.z_m);  // a hand or a foot beside it
  // What the ring before saw, by level and direction; and for how many rings a direction has been quiet.
  std::vector<std::vector<Seen>> before(levels.size(), std::vector<Seen>(s.azimuth_rad.size()));
  std::vector<int> quiet(s.azimuth_rad.size(), 0);
  std::vector<bool> done(s.azimuth_rad.size(), false);
  std::vector<double> rings_m;
  double next_m = 0.05;
  while (next_m < farthest_m) {
    rings_m.push_back(next_m);
    next_m += next_m < s.extent_m ? std::min(0.2 * next_m, 0.25) : 0.2 * next_m;
  }
  // Beyond a wire's end its field falls within centimetres.
  const Range rings{rings_m.front(), rings_m.back()};
  for (const double vertex_m : s.vertices_m) {
    for (const double radius_m : {vertex_m, vertex_m + 0.05}) {
      if (radius_m > rings.low && radius_m < rings.high) rings_m.push_back(radius_m);
    }
  }
  std::sort(rings_m.begin(), rings_m.end());
  rings_m.erase(std::unique(rings_m.begin(), rings_m.end()), rings_m.end());
  for (std::size_t ring = 0; ring < rings_m.size(); ++ring) {
    const double radius_m = rings_m[ring], last_m = ring > 0 ? rings_m[ring - 1] : 0.0;
    std::vector<Vec3> points;
    std::vector<std::size_t> awake;
    for (std::size_t d = 0; d < s.azimuth_rad.size(); ++d) {
      const Bystander there{"",
                            {s.centre.x_m + radius_m * std::cos(s.azimuth_rad[d]),
                             s.centre.y_m + radius_m * std::sin(s.azimuth_rad[d]), 0.0},
                            stature_m};
      done[d] = quiet[d] >= 2 && (radius_m > s.extent_m || body_distance_m(bare_wires, there) > asleep_m);
      if (done[d]) continue;
      awake.push_back(d);
      for (const double z : height_m) points.push_back({there.ground_m.x_m, there.ground_m.y_m, z});
    }
    if (awake.empty() && radius_m > s.extent_m) break;
    const std::vector<NearField> fields =
        wire::near_field(bare, points, one.power_w, options.solve.tables, options.threads);
    for (std::size_t n = 0; n < awake.size(); ++n) {
      const std::size_t d = awake[n];
      bool above = false;
      for (std::size_t l = 0; l < levels.size(); ++l) {
        const Seen now =
            seen_by(levels[l], std::span<const NearField>(fields).subspan(n * height_m.size(), height_m.size()),
                    height_m, share[l]);
        Seen& then = before[l][d];
        Reach& reach = reaches[l].directions[d];
        if (now.ratio > 1.0) {
          above = true;
          reach = {s.azimuth_rad[d] * 180.0 / pi, radius_m, now.height_m, true};
        } else if (then.ratio > 1.0 && reach.distance_m == last_m) {
          // Between two rings the field goes with a power of the distance.
          reach.distance_m =
              last_m * std::pow(radius_m / last_m, std::log(then.ratio) / std::log(then.ratio / now.ratio));
          reach.above_there = false;
        }
        then = now;
      }
      quiet[d] = above ? 0 : quiet[d] + 1;
    }
  }
  for (LevelReach& r : reaches) {
    if (has_portable_rule(r.level.standard)) {
      for (Reach& d : r.directions) d.distance_m = std::max(d.distance_m, portable_distance_m + trunk_radius_m);
    }
    r.farthest = *std::max_element(r.directions.begin(), r.directions.end(),
                                   [](const Reach& a, const Reach& b) { return a.distance_m < b.distance_m; });
  }
  return reaches;
}

/// 16 directions around the feed, and towards every point of a wire that is off the feed's upright, however near to one
/// of the 16: beside a wire some levels reach no farther than centimetres.
std::vector<double> azimuths_around(const wire::Antenna& antenna) {
  constexpr int evenly = 16;
  constexpr double off_m = 0.3, same_rad = 1e-9;
  const Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  std::vector<double> all;
  for (int n = 0; n < evenly; ++n) all.push_back(two_pi * n / evenly);
  for (const wire::Wire& w : antenna.wires) {
    for (const Vec3& p : w.points) {
      const double x = p.x_m - base.x_m, y = p.y_m - base.y_m;
      if (std::hypot(x, y) < off_m) continue;
      const double azimuth = std::atan2(y, x);
      const auto known = [&](double other) { return std::abs(std::remainder(other - azimuth, two_pi)) < same_rad; };
      if (std::none_of(all.begin(), all.end(), known)) all.push_back(azimuth < 0.0 ? azimuth + two_pi : azimuth);
    }
  }
  return all;
}

}  // namespace

std::vector<LevelReach> level_reaches(const ExposureCase& one, const ExposureOptions& given) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const wire::WireCase bare = without_person(one.wires);
  const wire::AntennaSolution solution = *with_bare(one, options).bare;
  const std::vector<LevelAt> levels = levels_at(options.levels, one.solution.frequency_hz);
  const Vec3 base = bare.antenna.wires[bare.antenna.feed.wire].points.front();

  Search feed{base, {}, 0.0};
  feed.azimuth_rad = azimuths_around(bare.antenna);
  for (const wire::CellCurrent& c : solution.cells)
    feed.extent_m = std::max(feed.extent_m, std::hypot(c.end.x_m - base.x_m, c.end.y_m - base.y_m) + 0.5);
  for (const wire::Wire& w : bare.antenna.wires) {
    for (const Vec3& p : w.points) feed.vertices_m.push_back(std::hypot(p.x_m - base.x_m, p.y_m - base.y_m));
  }
  std::vector<LevelReach> all = search(feed, "the feed", false, one, bare.antenna, solution, levels, options);
  for (const WireEnd& end : free_ends(bare)) {
    const double out = std::atan2(end.direction.y_m, end.direction.x_m);
    const Search s{end.at, {out - 0.5 * pi, out - 0.25 * pi, out, out + 0.25 * pi, out + 0.5 * pi}, 0.0};
    for (LevelReach& r : search(s, fmt::format("the end of \"{}\"", bare.antenna.wires[end.wire].name), true, one,
                                bare.antenna, solution, levels, options))
      all.push_back(std::move(r));
  }
  return all;
}

std::vector<FieldAlong> field_along(const ExposureCase& one, double azimuth_rad, double height_m,
                                    std::span<const double> distance_m, const ExposureOptions& given) {
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const wire::AntennaSolution solution = *with_bare(one, options).bare;
  const Vec3 base = one.wires.antenna.wires[one.wires.antenna.feed.wire].points.front();
  std::vector<Vec3> points;
  for (const double d : distance_m) {
    require(std::isfinite(d) && d > 0.0, "distance_m must be > 0");
    points.push_back({base.x_m + d * std::cos(azimuth_rad), base.y_m + d * std::sin(azimuth_rad), height_m});
  }
  const std::vector<NearField> fields =
      wire::near_field(solution, points, one.power_w, options.solve.tables, options.threads);
  std::vector<FieldAlong> along;
  for (std::size_t n = 0; n < points.size(); ++n)
    along.push_back({distance_m[n], fields[n].e_v_m(), fields[n].h_a_m()});
  return along;
}

FieldPlane field_plane(const ExposureCase& one, FieldPlane plane, const ExposureOptions& given) {
  require(plane.low_m < plane.high_m && plane.top_m > 0.0, "the sides of a plane must be in order");
  require(plane.columns >= 2 && plane.rows >= 2, "a plane needs two cells each way");
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const wire::AntennaSolution solution = *with_bare(one, options).bare;
  const Vec3 base = one.wires.antenna.wires[one.wires.antenna.feed.wire].points.front();
  std::vector<Vec3> points;
  for (std::size_t r = 0; r < plane.rows; ++r) {
    for (std::size_t c = 0; c < plane.columns; ++c) {
      const double along = plane.low_m + (plane.high_m - plane.low_m) * (static_cast<double>(c) + 0.5) /
                                             static_cast<double>(plane.columns);
      points.push_back({base.x_m + along * std::cos(plane.azimuth_rad), base.y_m + along * std::sin(plane.azimuth_rad),
                        plane.top_m * (static_cast<double>(r) + 0.5) / static_cast<double>(plane.rows)});
    }
  }
  plane.e_v_m.clear();
  plane.h_a_m.clear();
  for (const NearField& f : wire::near_field(solution, points, one.power_w, options.solve.tables, options.threads)) {
    plane.e_v_m.push_back(f.e_v_m());
    plane.h_a_m.push_back(f.h_a_m());
  }
  return plane;
}

FieldPlane plane_of(const wire::WireCase& wires) {
  FieldPlane plane;
  plane.azimuth_rad = azimuth_from_carrier(wires);
  plane.top_m = 2.2;
  for (const Vec3& p : wires.antenna.wires[wires.antenna.feed.wire].points)
    plane.top_m = std::max(plane.top_m, p.z_m + 0.5);
  const double behind_m = std::max(1.5, distance_from_feed_m(wires, carrier_of(wires).stands.ground_m) + 0.6);
  plane.low_m = -behind_m;
  plane.high_m = std::max(1.5, 0.9 * plane.top_m - behind_m);
  return plane;
}

std::vector<double> chart_distances() {
  std::vector<double> all;
  constexpr int steps = 60;
  for (int n = 0; n <= steps; ++n) all.push_back(0.1 * std::pow(10.0, 2.0 * n / steps));
  return all;
}

double distance_from_feed_m(const wire::WireCase& wires, Vec3 point) {
  const Vec3 base = wires.antenna.wires[wires.antenna.feed.wire].points.front();
  return std::hypot(point.x_m - base.x_m, point.y_m - base.y_m);
}

double azimuth_from_carrier(const wire::WireCase& wires) {
  const Vec3 base = wires.antenna.wires[wires.antenna.feed.wire].points.front();
  const Vec3 stands = carrier_of(wires).stands.ground_m;
  return std::atan2(base.y_m - stands.y_m, base.x_m - stands.x_m);
}

FarDistance far_field_distance(double frequency_hz, double mean_power_w, double gain, double s_w_m2,
                               double reflection) {
  for (const double v : {frequency_hz, mean_power_w, gain, s_w_m2, reflection})
    require(std::isfinite(v) && v > 0.0, "frequency, power, gain, power density and reflection must be > 0");
  const double distance_m = std::sqrt(reflection * mean_power_w * gain / (4.0 * pi * s_w_m2));
  return {distance_m, distance_m >= 0.5 * speed_of_light_m_s / frequency_hz};
}

}  // namespace stile::safety
