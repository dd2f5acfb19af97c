#include <stile/wire/sweep.hpp>

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numeric>
#include <tuple>
#include <utility>

#include <stile/base/constants.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/detail/rational.hpp>
#include <stile/wire/detail/solution.hpp>

namespace stile::wire {

using namespace detail;

namespace {

constexpr std::size_t few = 8;           // frequencies of a range that are all solved
constexpr std::size_t first_solved = 5;  // of a range that is narrow
constexpr double more_per_e_fold = 4.0;  // of a wide one
constexpr std::size_t added = 3;         // at a time
constexpr double fit_tolerance = 1e-7;   // weighted misfit at the solved frequencies
constexpr double foretold_tolerance = 2e-5;
constexpr double foretold_share = 0.4;  // of what two fits may be apart, against what a solve and a fit may

/// Calls the progress function and counts; one thread at a time.
class Reporter {
public:
  Reporter(const SweepProgress& progress, std::size_t total) : progress_(progress), total_(total) {}
  void operator()(std::size_t more) {
    const std::lock_guard lock(reporting_);
    for (; more > 0; --more) {
      ++done_;
      if (progress_) progress_(done_, total_);
    }
  }

private:
  const SweepProgress& progress_;
  std::size_t total_, done_ = 0;
  std::mutex reporting_;
};

struct Task {
  std::span<const Antenna> antennas;  // alike but for what is in series with their wires
  const Ground& ground;
  const SolveOptions& options;
};

using Currents = std::vector<cdouble>;

/// Frequencies with one mesh: says which it wants solved, until it can tell the rest of every antenna.
class Stretch {
public:
  Stretch(const Task& task, std::vector<double> frequencies_hz)
      : task_(task), frequency_hz_(std::move(frequencies_hz)),
        mesh_(checked_mesh(task.antennas.front(), task.ground, frequency_hz_.back(), task.options)),
        feed_(feed_weights(mesh_)), solved_(frequency_hz_.size()) {
    if (task.options.every_point || frequency_hz_.size() <= few) {
      for (std::size_t i = 0; i < frequency_hz_.size(); ++i) wanted_.push_back(i);
    } else {
      start();
    }
  }

  const std::vector<double>& frequencies_hz() const { return frequency_hz_; }
  const std::vector<std::size_t>& wanted() const { return wanted_; }
  void solve(std::size_t i) { solved_[i] = solve_at(i); }

  /// When all that was wanted is solved: what is wanted next, nothing when the rest is known well enough.
  void go_on() {
    double worst = foretold_.empty() ? HUGE_VAL : 0.0;
    if (!foretold_.empty()) {
      for (const std::size_t i : wanted_) worst = std::max(worst, most_apart(foretold_[i], solved_[i]));
    }
    wanted_.clear();
    if (std::all_of(solved_.begin(), solved_.end(), [](const auto& at) { return !at.empty(); })) return;
    std::vector<std::vector<Sample>> known;
    fits_.clear();
    for (std::size_t a = 0; a < task_.antennas.size(); ++a) {
      known.push_back(samples(a));
      fits_.push_back(rational_fit(known.back(), fit_tolerance));
    }
    // The fit that foretold well was another one: where this one says something else, it has not been seen to be right.
    for (std::size_t i = 0; i < frequency_hz_.size() && worst <= foretold_tolerance; ++i) {
      if (!is_solved(i)) worst = std::max(worst, foretold_share * most_apart(blends(fits_, i), foretold_[i]));
    }
    if (worst > foretold_tolerance) ask(known);
  }

  /// Of every antenna.
  std::vector<AntennaSolution> solutions(std::size_t i) const {
    std::vector<Currents> x = is_solved(i) ? solved_[i] : blends(fits_, i);
    const auto takes_power = [&](const Currents& of) { return feed_current(of).real() > 0.0; };
    if (!is_solved(i) && !std::all_of(x.begin(), x.end(), takes_power)) x = solve_at(i);  // only a solve may say so
    return solutions_of(task_.antennas, task_.ground, frequency_hz_[i], task_.options, mesh_, x);
  }
  bool is_solved(std::size_t i) const { return !solved_[i].empty(); }

private:
  std::vector<Currents> solve_at(std::size_t i) const {
    return mesh_currents(task_.antennas, task_.ground, frequency_hz_[i], task_.options, mesh_);
  }

  cdouble feed_current(const Currents& x) const {
    return std::inner_product(feed_.begin(), feed_.end(), x.begin(), cdouble(0.0));
  }

  /// Feed current and a dozen others: enough to find the poles.
  std::vector<Sample> samples(std::size_t a) const {
    std::vector<Sample> all;
    for (std::size_t i = 0; i < solved_.size(); ++i) {
      if (!is_solved(i)) continue;
      const Currents& x = solved_[i][a];
      const cdouble feed = feed_current(x);
      Sample s{frequency_hz_[i], {feed}, {1.0 / std::abs(feed)}};
      double largest = 0.0;
      for (const cdouble& v : x) largest = std::max(largest, std::abs(v));
      for (std::size_t f = 0; f < x.size(); f += 1 + x.size() / 12) {
        s.values.push_back(x[f]);
        s.weights.push_back(1.0 / largest);
      }
      all.push_back(std::move(s));
    }
    return all;
  }

  Currents blend(const RationalFit& fit, std::size_t i, std::size_t a) const {
    const std::vector<cdouble> share = fit.shares(frequency_hz_[i]);
    Currents x(mesh_.functions.size(), 0.0);
    std::size_t known = 0;
    for (const std::vector<Currents>& s : solved_) {
      if (s.empty() || share[known++] == 0.0) continue;
      for (std::size_t f = 0; f < x.size(); ++f) x[f] += share[known - 1] * s[a][f];
    }
    return x;
  }

  /// Of every antenna.
  std::vector<Currents> blends(const std::vector<RationalFit>& fits, std::size_t i) const {
    std::vector<Currents> all;
    for (std::size_t a = 0; a < fits.size(); ++a) all.push_back(blend(fits[a], i, a));
    return all;
  }

  /// Distance of two current vectors: of |Z|, a fiftieth of that of R, a tenth of that of any current.
  double distance(const Currents& a, const Currents& b) const {
    const cdouble za = 1.0 / feed_current(a), zb = 1.0 / feed_current(b);
    double apart =
        std::max(std::abs(za - zb) / std::abs(zb), 0.02 * std::abs(za.real() - zb.real()) / std::abs(zb.real()));
    double largest = 0.0, current = 0.0;
    for (std::size_t f = 0; f < a.size(); ++f) {
      largest = std::max(largest, std::abs(b[f] * zb));
      current = std::max(current, std::abs(a[f] * za - b[f] * zb));
    }
    apart = std::max(apart, 0.1 * current / largest);
    return std::isfinite(apart) ? apart : HUGE_VAL;
  }

  double most_apart(const std::vector<Currents>& a, const std::vector<Currents>& b) const {
    double most = 0.0;
    for (std::size_t n = 0; n < a.size(); ++n) most = std::max(most, distance(a[n], b[n]));
    return most;
  }

  void start() {
    const std::size_t count = frequency_hz_.size();
    const double e_folds = std::log(frequency_hz_.back() / frequency_hz_.front());
    const auto n = first_solved + static_cast<std::size_t>(std::lround(more_per_e_fold * e_folds));
    for (std::size_t i = 0; i < n; ++i) {  // denser at both ends
      const double t = 0.5 - 0.5 * std::cos(pi * static_cast<double>(i) / static_cast<double>(n - 1));
      const auto at = static_cast<std::size_t>(std::lround(t * static_cast<double>(count - 1)));
      if (wanted_.empty() || wanted_.back() != at) wanted_.push_back(at);
    }
  }

  /// What is foretold, and where to see whether it is right: where a fit that meets fewer of the known ones says
  /// otherwise, and in the widest gap.
  /// @param known  the samples of each antenna
  void ask(const std::vector<std::vector<Sample>>& known) {
    const std::size_t count = frequency_hz_.size(), samples = known.front().size();
    std::vector<RationalFit> others;
    for (const std::vector<Sample>& of : known) others.emplace_back(of, std::max<std::size_t>(2, (samples - 1) / 2));
    std::vector<double> doubt(count, -1.0);
    foretold_.assign(count, {});
    for (std::size_t i = 0; i < count; ++i) {
      if (is_solved(i)) continue;
      foretold_[i] = blends(fits_, i);
      doubt[i] = most_apart(blends(others, i), foretold_[i]);
    }
    const std::size_t beside = count / (4 * samples);
    while (wanted_.size() + 1 < added) {
      const auto most = std::max_element(doubt.begin(), doubt.end());
      if (*most < 0.0) break;
      const auto at = static_cast<std::size_t>(most - doubt.begin());
      wanted_.push_back(at);
      for (std::size_t i = at - std::min(at, beside); i <= std::min(at + beside, count - 1); ++i) doubt[i] = -1.0;
    }
    const std::size_t gap = widest_gap();
    if (!is_solved(gap) && std::find(wanted_.begin(), wanted_.end(), gap) == wanted_.end()) wanted_.push_back(gap);
  }

  /// Middle of the widest stretch of frequencies that are neither solved nor wanted.
  std::size_t widest_gap() const {
    std::size_t best = 0, best_length = 0, length = 0;
    for (std::size_t i = 0; i < solved_.size(); ++i) {
      const bool taken = is_solved(i) || std::find(wanted_.begin(), wanted_.end(), i) != wanted_.end();
      length = taken ? 0 : length + 1;
      if (length > best_length) best_length = length, best = i - length / 2;
    }
    return best;
  }

  const Task& task_;
  std::vector<double> frequency_hz_;
  Mesh mesh_;
  std::vector<double> feed_;
  std::vector<std::vector<Currents>> solved_;    // of each antenna for 1 V; empty: not solved
  std::vector<std::vector<Currents>> foretold_;  // by the fits before the last frequencies were solved
  std::vector<RationalFit> fits_;                // one an antenna
  std::vector<std::size_t> wanted_;
};

bool same_wire(const Wire& a, const Wire& b) {
  return std::tie(a.points, a.radius_m, a.insulation, a.person) ==
         std::tie(b.points, b.radius_m, b.insulation, b.person);
}

/// Whether two antennas share a mesh and differ at most in what is in series with their wires: metals, values of coils
/// and lumps; and across the base.
bool same_wires(const Antenna& a, const Antenna& b) {
  return std::equal(a.wires.begin(), a.wires.end(), b.wires.begin(), b.wires.end(), same_wire) &&
         std::equal(a.coils.begin(), a.coils.end(), b.coils.begin(), b.coils.end(),
                    [](const WireCoil& x, const WireCoil& y) {
                      return std::tie(x.wire, x.distance_m, x.length_m) == std::tie(y.wire, y.distance_m, y.length_m);
                    }) &&
         std::equal(a.lumps.begin(), a.lumps.end(), b.lumps.begin(), b.lumps.end(),
                    [](const WireLump& x, const WireLump& y) {
                      return std::tie(x.wire, x.distance_m) == std::tie(y.wire, y.distance_m);
                    }) &&
         std::tie(a.feed.wire, a.feed.gap_m) == std::tie(b.feed.wire, b.feed.gap_m);
}

/// Of each antenna, in their order, what sweep_antenna says of it.
std::vector<std::vector<AntennaSolution>> sweep_alike(const Task& task, std::span<const double> frequencies_hz,
                                                      unsigned threads, Reporter& report) {
  const std::size_t antennas = task.antennas.size();
  for (const double f : frequencies_hz) check_solve(f, task.options);
  std::vector<double> sorted(frequencies_hz.begin(), frequencies_hz.end());
  std::sort(sorted.begin(), sorted.end());
  sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
  std::vector<Stretch> stretches;
  for (auto first = sorted.begin(); first != sorted.end();) {
    const auto apart = [](double low_hz, double high_hz) { return high_hz > stretch_ratio * low_hz; };
    auto last = std::adjacent_find(first, sorted.end(), apart);
    if (last != sorted.end()) ++last;
    stretches.emplace_back(task, std::vector<double>(first, last));
    first = last;
  }

  struct Place {
    std::size_t stretch, at;
  };
  for (;;) {
    std::vector<Place> jobs;
    for (std::size_t s = 0; s < stretches.size(); ++s) {
      for (const std::size_t i : stretches[s].wanted()) jobs.push_back({s, i});
    }
    if (jobs.empty()) break;
    in_blocks(jobs.size(), 1, threads, [&](std::size_t n, std::size_t) {
      stretches[jobs[n].stretch].solve(jobs[n].at);
      report(antennas);
    });
    for (Stretch& s : stretches) s.go_on();
  }

  std::vector<std::vector<AntennaSolution>> solutions(antennas, std::vector<AntennaSolution>(frequencies_hz.size()));
  in_blocks(frequencies_hz.size(), 1, threads, [&](std::size_t n, std::size_t) {
    const double f = frequencies_hz[n];
    const auto s = std::find_if(stretches.begin(), stretches.end(),
                                [&](const Stretch& each) { return each.frequencies_hz().back() >= f; });
    const std::vector<double>& own = s->frequencies_hz();
    const auto i = static_cast<std::size_t>(std::lower_bound(own.begin(), own.end(), f) - own.begin());
    std::vector<AntennaSolution> all = s->solutions(i);
    for (std::size_t a = 0; a < antennas; ++a) solutions[a][n] = std::move(all[a]);
    if (!s->is_solved(i)) report(antennas);
  });
  return solutions;
}

}  // namespace

std::vector<AntennaSolution> sweep_antenna(const Antenna& antenna, const Ground& ground,
                                           std::span<const double> frequencies_hz, const SolveOptions& options,
                                           unsigned threads, const SweepProgress& progress) {
  Reporter report(progress, frequencies_hz.size());
  return std::move(sweep_alike({{&antenna, 1}, ground, options}, frequencies_hz, threads, report).front());
}

std::vector<std::vector<AntennaSolution>> sweep_cases(std::span<const WireCase> cases,
                                                      std::span<const double> frequencies_hz,
                                                      const SolveOptions& options, unsigned threads,
                                                      const SweepProgress& progress) {
  Reporter report(progress, cases.size() * frequencies_hz.size());
  for (const WireCase& each : cases) check_antenna(each.antenna, each.ground);
  std::vector<std::vector<AntennaSolution>> all(cases.size());
  for (std::size_t c = 0; c < cases.size(); ++c) {
    if (!all[c].empty()) continue;
    std::vector<std::size_t> places{c};
    std::vector<Antenna> antennas{cases[c].antenna};
    for (std::size_t other = c + 1; other < cases.size(); ++other) {
      if (cases[other].ground != cases[c].ground || !same_wires(cases[other].antenna, cases[c].antenna)) continue;
      places.push_back(other);
      antennas.push_back(cases[other].antenna);
    }
    std::vector<std::vector<AntennaSolution>> solved =
        sweep_alike({antennas, cases[c].ground, options}, frequencies_hz, threads, report);
    for (std::size_t n = 0; n < places.size(); ++n) all[places[n]] = std::move(solved[n]);
  }
  return all;
}

}  // namespace stile::wire
