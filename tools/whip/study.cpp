#include "whip/study.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/wire/counterpoise.hpp>
#include <stile/wire/limits.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::tools {
namespace {

constexpr double near_ratio = 1.02, beside = 1e-3;

bool neighbours(double low_hz, double high_hz) { return high_hz <= near_ratio * low_hz; }

/// What is solved: the frequencies, and one beside each that has no neighbour.
struct Plan {
  std::vector<double> frequency_hz;
  std::vector<std::size_t> companion;  ///< of each frequency of the task: index into frequency_hz, 0: none
};

Plan plan_of(const std::vector<double>& task) {
  Plan plan{task, std::vector<std::size_t>(task.size(), 0)};
  for (std::size_t n = 0; n < task.size(); ++n) {
    const bool before = n > 0 && neighbours(task[n - 1], task[n]),
               after = n + 1 < task.size() && neighbours(task[n], task[n + 1]);
    if (before || after) continue;
    plan.companion[n] = plan.frequency_hz.size();
    constexpr double high_hz = 2e8;  // the solver ends at 300 MHz
    plan.frequency_hz.push_back(task[n] * (task[n] < high_hz ? 1.0 + beside : 1.0 - beside));
  }
  return plan;
}

double q_of(const std::vector<AntennaSolution>& all, const Plan& plan, std::size_t count, std::size_t n) {
  std::size_t a = n, b = n;
  if (plan.companion[n] != 0) {
    b = plan.companion[n];
  } else {
    if (n > 0 && neighbours(all[n - 1].frequency_hz, all[n].frequency_hz)) a = n - 1;
    if (n + 1 < count && neighbours(all[n].frequency_hz, all[n + 1].frequency_hz)) b = n + 1;
  }
  const cdouble slope = (all[b].feed_ohm - all[a].feed_ohm) / (all[b].frequency_hz - all[a].frequency_hz);
  return q_from_impedance(all[n].feed_ohm, slope, all[n].frequency_hz);
}

bool same_place(Vec3 a, Vec3 b) { return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m) <= 1e-6; }

bool touch(const Wire& wire, const Wire& other) {
  return std::any_of(wire.points.begin(), wire.points.end(), [&](Vec3 a) {
    return std::any_of(other.points.begin(), other.points.end(), [&](Vec3 b) { return same_place(a, b); });
  });
}

void shift(Wire& wire, Vec3 by) {
  for (Vec3& p : wire.points) p = {p.x_m + by.x_m, p.y_m + by.y_m, p.z_m + by.z_m};
}

}  // namespace

std::size_t whip_solutions(const WhipTask& task) {
  return task.conditions.size() * plan_of(task.frequency_hz).frequency_hz.size();
}

std::vector<WhipCase> solve_whip(const WhipTask& task, const WhipProgress& progress) {
  const Plan plan = plan_of(task.frequency_hz);
  const SweepProgress report = [&](std::size_t, std::size_t) { progress(); };
  const SolveOptions shared = with_tables(task.options);
  std::vector<WhipCase> cases;
  for (const WireCase& wires : task.conditions) {
    std::vector<AntennaSolution> all =
        sweep_antenna(wires.antenna, wires.ground, plan.frequency_hz, shared, task.threads, report);
    WhipCase c{wires, {}, {}};
    std::vector<std::string> told;
    for (std::size_t n = 0; n < task.frequency_hz.size(); ++n) {
      for (const std::string& caution : all[n].cautions) {
        if (std::find(told.begin(), told.end(), caution) != told.end()) continue;
        told.push_back(caution);
        c.warnings.push_back(
            fmt::format("{} (from {} on)", caution, print_quantity(all[n].frequency_hz, Unit::hertz, 6)));
      }
      c.points.push_back({all[n], q_of(all, plan, task.frequency_hz.size(), n)});
    }
    cases.push_back(std::move(c));
  }
  return cases;
}

double feed_voltage_v_peak(const AntennaSolution& solution, double power_w) {
  return std::abs(solution.feed_ohm) * std::sqrt(2.0 * power_w / solution.feed_ohm.real());
}

std::vector<Antenna> lengthened_whips(const Antenna& antenna) {
  std::vector<Antenna> all;
  const std::size_t whip = antenna.feed.wire;
  const Vec3 base = antenna.wires[whip].points.front();
  for (int tenths = 5; tenths <= 15; ++tenths) {
    const double factor = 0.1 * tenths;
    Antenna changed = antenna;
    for (Vec3& p : changed.wires[whip].points) {
      p = {base.x_m + factor * (p.x_m - base.x_m), base.y_m + factor * (p.y_m - base.y_m),
           base.z_m + factor * (p.z_m - base.z_m)};
    }
    for (WireCoil& coil : changed.coils) {
      if (coil.wire == whip) coil.distance_m *= factor;
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
            shift(changed.wires[w], {now.x_m - old.x_m, now.y_m - old.y_m, now.z_m - old.z_m});
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
  const auto coil = std::find_if(antenna.coils.begin(), antenna.coils.end(),
                                 [&](const WireCoil& c) { return c.wire == antenna.feed.wire; });
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

plots::WhipStudy study_whip(const WireCase& wires, double frequency_hz, const SolveOptions& options,
                            const WhipProgress& progress) {
  constexpr double usual_q = 200.0;
  const SolveOptions shared = with_tables(options);
  const double q = wires.antenna.coils.empty() ? usual_q : wires.antenna.coils.front().q;
  const auto point = [&](const Antenna& antenna, double x_m) {
    const AntennaSolution s = solve_antenna(antenna, wires.ground, frequency_hz, shared);
    progress();
    return plots::WhipStudyPoint{x_m, s.feed_ohm, s.share.radiated, tuned_efficiency(s, q)};
  };
  plots::WhipStudy study{wires.name, {}, {}};
  for (const Antenna& antenna : moved_coils(wires.antenna, wires.ground)) {
    const auto coil = std::find_if(antenna.coils.begin(), antenna.coils.end(),
                                   [&](const WireCoil& c) { return c.wire == antenna.feed.wire; });
    study.coil.push_back(point(antenna, coil->distance_m));
  }
  for (const Antenna& antenna : lengthened_whips(wires.antenna))
    study.length.push_back(point(antenna, wire_length_m(antenna.wires[antenna.feed.wire])));
  return study;
}

}  // namespace stile::tools
