#include <stile/wire/condition_sweep.hpp>

#include <algorithm>
#include <functional>
#include <optional>
#include <utility>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::wire {
namespace {

constexpr double near_ratio = 1.02, beside = 1e-3;

bool neighbours(double low_hz, double high_hz) { return high_hz <= near_ratio * low_hz; }

/// What is solved: the frequencies, and one beside each that has no neighbour.
struct Solved {
  std::vector<double> frequency_hz;
  std::vector<std::size_t> companion;  ///< of each frequency of the task: index into frequency_hz, 0: none
};

Solved solved_for(const std::vector<double>& task) {
  require(!task.empty(), "a sweep needs a frequency");
  require(std::adjacent_find(task.begin(), task.end(), std::greater_equal<>()) == task.end(),
          "the frequencies of a sweep must rise");
  Solved plan{task, std::vector<std::size_t>(task.size(), 0)};
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

double q_of(const std::vector<AntennaSolution>& all, const Solved& plan, std::size_t count, std::size_t n) {
  std::size_t a = n, b = n;
  if (plan.companion[n] != 0) {
    b = plan.companion[n];
  } else {
    if (n > 0 && neighbours(all[n - 1].frequency_hz, all[n].frequency_hz)) a = n - 1;
    if (n + 1 < count && neighbours(all[n].frequency_hz, all[n + 1].frequency_hz)) b = n + 1;
  }
  const cdouble slope = (all[b].feed_ohm - all[a].feed_ohm) / (all[b].frequency_hz - all[a].frequency_hz);
  return network::q_from_impedance(all[n].feed_ohm, slope, all[n].frequency_hz);
}

/// The value that stands before every other, of equal ones the first.
template <class ValueOf, class Before>
ConditionValue first_of(std::span<const ConditionSweep> sweeps, ValueOf value_of, Before before) {
  std::optional<ConditionValue> best;
  for (const ConditionSweep& c : sweeps) {
    for (const ConditionPoint& p : c.points) {
      const double value = value_of(p);
      if (!best || before(value, best->value)) best = {value, p.solution.frequency_hz, c.wires.name};
    }
  }
  require(best.has_value(), "the conditions have no frequency");
  return *best;
}

}  // namespace

std::size_t solution_count(const ConditionTask& task) {
  return task.conditions.size() * solved_for(task.frequency_hz).frequency_hz.size();
}

std::vector<ConditionSweep> sweep_conditions(const ConditionTask& task, const SolutionProgress& progress) {
  const Solved plan = solved_for(task.frequency_hz);
  const SweepProgress report = [&](std::size_t, std::size_t) {
    if (progress) progress();
  };
  const SolveOptions shared = with_tables(task.options);
  std::vector<ConditionSweep> sweeps;
  std::vector<std::vector<AntennaSolution>> solved =
      sweep_cases(task.conditions, plan.frequency_hz, shared, task.threads, report);
  for (std::size_t of = 0; of < task.conditions.size(); ++of) {
    std::vector<AntennaSolution>& all = solved[of];
    ConditionSweep c{task.conditions[of], {}, {}};
    std::vector<std::string> told;
    std::vector<double> q;  // of all first: it takes the neighbours
    for (std::size_t n = 0; n < task.frequency_hz.size(); ++n)
      q.push_back(q_of(all, plan, task.frequency_hz.size(), n));
    for (std::size_t n = 0; n < task.frequency_hz.size(); ++n) {
      for (const std::string& caution : all[n].cautions) {
        if (std::find(told.begin(), told.end(), caution) != told.end()) continue;
        told.push_back(caution);
        c.warnings.push_back(
            fmt::format("{} (from {} on)", caution, print_quantity(all[n].frequency_hz, Unit::hertz, 6)));
      }
      c.points.push_back({std::move(all[n]), q[n]});
    }
    sweeps.push_back(std::move(c));
  }
  return sweeps;
}

std::vector<ConditionSpread> condition_spreads(std::span<const ConditionSweep> sweeps) {
  std::vector<ConditionSpread> all;
  if (sweeps.size() < 2) return all;
  for (std::size_t n = 0; n < sweeps.front().points.size(); ++n) {
    const AntennaSolution& first = sweeps.front().points[n].solution;
    ConditionSpread s{first.frequency_hz,    first.feed_ohm.real(), first.feed_ohm.real(), first.feed_ohm.imag(),
                      first.feed_ohm.imag(), first.share.radiated,  first.share.radiated};
    for (const ConditionSweep& c : sweeps) {
      require(c.points.size() == sweeps.front().points.size() && c.points[n].solution.frequency_hz == s.frequency_hz,
              "a spread needs all conditions at the same frequencies");
      const AntennaSolution& p = c.points[n].solution;
      s.r_low_ohm = std::min(s.r_low_ohm, p.feed_ohm.real());
      s.r_high_ohm = std::max(s.r_high_ohm, p.feed_ohm.real());
      s.x_low_ohm = std::min(s.x_low_ohm, p.feed_ohm.imag());
      s.x_high_ohm = std::max(s.x_high_ohm, p.feed_ohm.imag());
      s.efficiency_low = std::min(s.efficiency_low, p.share.radiated);
      s.efficiency_high = std::max(s.efficiency_high, p.share.radiated);
    }
    all.push_back(s);
  }
  return all;
}

ConditionValue highest_feed_voltage_v_peak(std::span<const ConditionSweep> sweeps, double power_w) {
  return first_of(
      sweeps, [&](const ConditionPoint& p) { return network::load_voltage_v_peak(p.solution.feed_ohm, power_w); },
      std::greater<>());
}

ConditionValue least_efficiency(std::span<const ConditionSweep> sweeps) {
  return first_of(
      sweeps, [](const ConditionPoint& p) { return p.solution.share.radiated; }, std::less<>());
}

}  // namespace stile::wire
