#include <stile/safety/wind.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::safety {

using namespace wire::detail;

namespace {

constexpr double gravity_m_s2 = 9.80665, counterweight_m = 0.3;
constexpr double long_pole_m = 5.0;
constexpr int long_pole_down = 5;  // customary: from Beaufort 5 to 6 on a pole of 6 m comes down
constexpr int walk_down = 7;       // walking against the wind becomes hard: WMO's words for it, from memory

double pressure_pa(double speed_m_s) { return 0.5 * air_density_kg_m3 * speed_m_s * speed_m_s; }

}  // namespace

const std::vector<Beaufort>& beaufort_scale() {
  static const std::vector<Beaufort> scale{{0, "calm", 0.0, 0.2},
                                           {1, "light air", 0.3, 1.5},
                                           {2, "light breeze", 1.6, 3.3},
                                           {3, "gentle breeze", 3.4, 5.4},
                                           {4, "moderate breeze", 5.5, 7.9},
                                           {5, "fresh breeze", 8.0, 10.7},
                                           {6, "strong breeze", 10.8, 13.8},
                                           {7, "near gale", 13.9, 17.1},
                                           {8, "gale", 17.2, 20.7},
                                           {9, "strong gale", 20.8, 24.4},
                                           {10, "storm", 24.5, 28.4},
                                           {11, "violent storm", 28.5, 32.6},
                                           {12, "hurricane", 32.7, 32.7}};
  return scale;
}

WindLoad wind_on_pole(const Pole& pole, double speed_m_s) {
  require(std::isfinite(pole.length_m) && pole.length_m > 0.0, "the pole's length must be > 0");
  require(std::isfinite(pole.base_diameter_m) && pole.base_diameter_m > 0.0, "the pole's base diameter must be > 0");
  require(std::isfinite(pole.tip_diameter_m) && pole.tip_diameter_m >= 0.0, "the pole's tip diameter must be >= 0");
  require(std::isfinite(speed_m_s) && speed_m_s >= 0.0, "speed_m_s must be >= 0");
  const double q = drag * pressure_pa(speed_m_s), h = pole.length_m, d0 = pole.base_diameter_m,
               d1 = pole.tip_diameter_m;
  return {q * h * 0.5 * (d0 + d1), q * (0.5 * d0 * h * h - (d0 - d1) * h * h / 3.0)};
}

namespace {

/// A wire that hangs on the fed one above its feed and nowhere else: a spoke of a hat.
bool on_whip(const wire::Antenna& antenna, std::size_t n) {
  constexpr double same_m = 1e-6;
  const std::vector<wire::Vec3>& whip = antenna.wires[antenna.feed.wire].points;
  const wire::Vec3 from = antenna.wires[n].points.front(), to = antenna.wires[n].points.back();
  const auto above_feed = [&](const wire::Vec3& p) {
    return std::any_of(whip.begin() + 1, whip.end(), [&](const wire::Vec3& q) { return norm(p - q) < same_m; });
  };
  return n != antenna.feed.wire && (above_feed(from) || above_feed(to));
}

}  // namespace

WindLoad wind_on_wires(const wire::WireCase& wires, double speed_m_s) {
  require(std::isfinite(speed_m_s) && speed_m_s >= 0.0, "speed_m_s must be >= 0");
  const double q = drag * pressure_pa(speed_m_s);
  const wire::Antenna& a = wires.antenna;
  const wire::Vec3 base = a.wires[a.feed.wire].points.front();
  WindLoad load;
  for (std::size_t w = 0; w < a.wires.size(); ++w) {
    const wire::Wire& wire = a.wires[w];
    if (wire.person) continue;
    const double radius_m = wire.radius_m + (wire.insulation ? wire.insulation->thickness_m : 0.0);
    const bool all_at_feed = w == a.feed.wire || on_whip(a, w);
    const auto pulls = [&](double force_n, double z_m) {
      load.force_n += all_at_feed ? force_n : 0.5 * force_n;
      if (all_at_feed) load.moment_nm += force_n * std::abs(z_m - base.z_m);
    };
    double along_m = 0.0;
    for (std::size_t p = 0; p + 1 < wire.points.size(); ++p) {
      const wire::Vec3 from = wire.points[p], to = wire.points[p + 1];
      const double length_m = norm(to - from), before_m = along_m;
      along_m += length_m;
      if (std::max(from.z_m, to.z_m) < 0.15) continue;  // lies in the grass
      pulls(q * 2.0 * radius_m * length_m, 0.5 * (from.z_m + to.z_m));
      for (const wire::WireCoil& coil : a.coils) {
        const double in_m = coil.distance_m - before_m;
        if (coil.wire != w || in_m < 0.0 || in_m >= length_m) continue;
        pulls(q * std::max(0.0, coil.outside_m - 2.0 * radius_m) * coil.length_m,
              from.z_m + in_m / length_m * (to.z_m - from.z_m));
      }
    }
  }
  return load;
}

WindTable wind_table(const wire::WireCase& wires, const std::optional<Pole>& pole, const Stand& stand) {
  for (const double v : {stand.person_kg, stand.pack_kg, stand.half_width_m, stand.gust})
    require(std::isfinite(v) && v > 0.0, "mass, pack, half width and gust must be > 0");
  const double feed_m = wires.antenna.wires[wires.antenna.feed.wire].points.front().z_m;
  WindTable table;
  table.condition = wires.name;
  for (const wire::WireCoil& coil : wires.antenna.coils) {
    if (coil.outside_m == 0.0 && coil.length_m > 0.0)
      table.left_out.push_back(
          fmt::format("the coil on \"{}\", which is stated without its winding", wires.antenna.wires[coil.wire].name));
  }
  table.held_nm = (stand.person_kg + stand.pack_kg) * gravity_m_s2 * stand.half_width_m;
  for (const Beaufort& b : beaufort_scale()) {
    if (b.number == 0) continue;
    WindRow row{b, b.high_m_s};
    WindLoad load = wind_on_wires(wires, b.high_m_s);
    if (pole) {
      const WindLoad more = wind_on_pole(*pole, b.high_m_s);
      load.force_n += more.force_n;
      load.moment_nm += more.moment_nm;
    }
    row.force_n = load.force_n;
    row.pack_moment_nm = load.moment_nm;
    row.foot_moment_nm = stand.gust * stand.gust * (load.moment_nm + load.force_n * std::max(feed_m, 0.0));
    row.counterweight_kg = load.moment_nm / (gravity_m_s2 * counterweight_m);
    const bool too_much = row.foot_moment_nm > 0.5 * table.held_nm ||
                          (pole && pole->length_m >= long_pole_m && b.number >= long_pole_down) ||
                          b.number >= walk_down;
    if (too_much && table.take_down == 0) table.take_down = b.number;
    table.rows.push_back(row);
  }
  return table;
}

WindTable worst_wind(std::span<const wire::WireCase> conditions, const std::optional<Pole>& pole, const Stand& stand) {
  require(!conditions.empty(), "there are no wires in the wind");
  std::vector<WindTable> tables;
  for (const wire::WireCase& one : conditions) tables.push_back(wind_table(one, pole, stand));
  return *std::max_element(tables.begin(), tables.end(), [](const WindTable& a, const WindTable& b) {
    return a.rows.back().foot_moment_nm < b.rows.back().foot_moment_nm;
  });
}

std::string wind_words(const WindTable& table) {
  const WindRow &breeze = table.rows.at(3), &strong = table.rows.at(5);
  return fmt::format(
      "at Beaufort {} and {}, without gusts, {:.3g} and {:.3g} N m at the pack, held by a counterweight of {:.3g} and "
      "{:.3g} kg at {:g} m; take it down from Beaufort {} on",
      breeze.force.number, strong.force.number, breeze.pack_moment_nm, strong.pack_moment_nm, breeze.counterweight_kg,
      strong.counterweight_kg, counterweight_m, table.take_down);
}

std::string wind_words(const AntennaWind& wind) {
  const std::string words = wind_words(wind.table);
  return wind.antenna.empty() ? words : wind.antenna + ": " + words;
}

}  // namespace stile::safety
