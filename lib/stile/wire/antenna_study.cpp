#include <stile/wire/antenna_study.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/wire/counterpoise.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

bool touch(const Wire& wire, const Wire& other) {
  return std::any_of(wire.points.begin(), wire.points.end(), [&](Vec3 a) {
    return std::any_of(other.points.begin(), other.points.end(), [&](Vec3 b) { return same_place(a, b); });
  });
}

void shift(Wire& wire, Vec3 by) {
  for (Vec3& p : wire.points) p = p + by;
}

/// The first coil of the feed's wire, or the end.
std::vector<WireCoil>::const_iterator whip_coil(const Antenna& antenna) {
  return std::find_if(antenna.coils.begin(), antenna.coils.end(),
                      [&](const WireCoil& c) { return c.wire == antenna.feed.wire; });
}

}  // namespace

std::vector<Antenna> lengthened_whips(const Antenna& antenna) {
  std::vector<Antenna> all;
  const std::size_t whip = antenna.feed.wire;
  const Vec3 base = antenna.wires[whip].points.front();
  for (int tenths = 5; tenths <= 15; ++tenths) {
    const double factor = 0.1 * tenths;
    Antenna changed = antenna;
    for (Vec3& p : changed.wires[whip].points) {
      p = base + factor * (p - base);
    }
    for (WireCoil& coil : changed.coils) {
      if (coil.wire == whip) coil.distance_m *= factor;
    }
    for (WireLump& lump : changed.lumps) {
      if (lump.wire == whip) lump.distance_m *= factor;
    }
    // What hangs on the whip above its base moves along, and what hangs on that.
    std::vector<bool> placed(antenna.wires.size(), false);
    placed[whip] = true;
    for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
      for (const Vec3& p : antenna.wires[w].points) placed[w] = placed[w] || same_place(p, base);
    }
    for (bool moved = true; moved;) {
      moved = false;
      for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
        for (std::size_t other = 0; other < antenna.wires.size() && !placed[w]; ++other) {
          if (!placed[other] || !touch(antenna.wires[w], antenna.wires[other])) continue;
          for (std::size_t n = 0; n < antenna.wires[other].points.size() && !placed[w]; ++n) {
            const Vec3 old = antenna.wires[other].points[n], now = changed.wires[other].points[n];
            if (std::none_of(antenna.wires[w].points.begin(), antenna.wires[w].points.end(),
                             [&](Vec3 p) { return same_place(p, old); }))
              continue;
            shift(changed.wires[w], now - old);
            placed[w] = moved = true;
          }
        }
      }
    }
    all.push_back(std::move(changed));
  }
  return all;
}

std::vector<Antenna> moved_coils(const Antenna& antenna, const Ground& ground) {
  std::vector<Antenna> all;
  const auto coil = whip_coil(antenna);
  if (coil == antenna.coils.end()) return all;
  const auto index = static_cast<std::size_t>(coil - antenna.coils.begin());
  const double length_m = wire_length_m(antenna.wires[antenna.feed.wire]);
  for (int step = 1; step < 20; ++step) {
    Antenna changed = antenna;
    changed.coils[index].distance_m = 0.05 * step * length_m;
    try {
      check_antenna(changed, ground);
    } catch (const DomainError&) {
      continue;  // over the feed gap, a bend, another coil or the end
    }
    all.push_back(std::move(changed));
  }
  return all;
}

std::size_t study_count(const WireCase& wires) {
  return moved_coils(wires.antenna, wires.ground).size() + lengthened_whips(wires.antenna).size();
}

AntennaStudy study_antenna(const WireCase& wires, double frequency_hz, double tuning_q, const SolveOptions& options,
                           const std::function<void()>& progress) {
  const SolveOptions shared = with_tables(options);
  const auto point = [&](const Antenna& antenna, double x_m) {
    const AntennaSolution s = solve_antenna(antenna, wires.ground, frequency_hz, shared);
    if (progress) progress();
    return AntennaStudyPoint{x_m, s.feed_ohm, s.share.radiated, tuned_efficiency(s, tuning_q)};
  };
  AntennaStudy study{wires.name, {}, {}};
  for (const Antenna& antenna : moved_coils(wires.antenna, wires.ground))
    study.coil.push_back(point(antenna, whip_coil(antenna)->distance_m));
  for (const Antenna& antenna : lengthened_whips(wires.antenna))
    study.length.push_back(point(antenna, wire_length_m(antenna.wires[antenna.feed.wire])));
  return study;
}

}  // namespace stile::wire
