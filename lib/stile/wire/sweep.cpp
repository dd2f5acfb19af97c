#include <stile/wire/sweep.hpp>

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numeric>
#include <optional>

#include <stile/base/constants.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/detail/rational.hpp>
#include <stile/wire/detail/solution.hpp>

namespace stile::wire {

using namespace detail;

namespace {

constexpr double joined_ratio = 1.1;     // of neighbours in a range
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
  void operator()() {
    const std::lock_guard lock(reporting_);
    ++done_;
    if (progress_) progress_(done_, total_);
  }

private:
  const SweepProgress& progress_;
  std::size_t total_, done_ = 0;
  std::mutex reporting_;
};

struct Task {
  const Antenna& antenna;
  const Ground& ground;
  const SolveOptions& options;
};

/// Frequencies with one mesh: says which it wants solved, until it can tell the rest.
class Stretch {
public:
  Stretch(const Task& task, std::vector<double> frequencies_hz)
      : task_(task), frequency_hz_(std::move(frequencies_hz)),
        mesh_(checked_mesh(task.antenna, task.ground, frequency_hz_.back(), task.options)), feed_(feed_weights(mesh_)),
        solved_(frequency_hz_.size()) {
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
      for (const std::size_t i : wanted_) worst = std::max(worst, distance(foretold_[i], solved_[i]));
    }
    wanted_.clear();
    const std::vector<Sample> known = samples();
    if (known.size() == frequency_hz_.size()) return;
    fit_ = rational_fit(known, fit_tolerance);
    // The fit that foretold well was another one: where this one says something else, it has not been seen to be right.
    for (std::size_t i = 0; i < frequency_hz_.size() && worst <= foretold_tolerance; ++i) {
      if (!is_solved(i)) worst = std::max(worst, foretold_share * distance(blend(*fit_, i), foretold_[i]));
    }
    if (worst > foretold_tolerance) ask(known);
  }

  AntennaSolution solution(std::size_t i) const {
    std::vector<cdouble> x = is_solved(i) ? solved_[i] : blend(*fit_, i);
    if (!is_solved(i) && !(feed_current(x).real() > 0.0)) x = solve_at(i);  // only a solve may say so
    return solution_of(task_.antenna, task_.ground, frequency_hz_[i], task_.options, mesh_, x);
  }
  bool is_solved(std::size_t i) const { return !solved_[i].empty(); }

private:
  std::vector<cdouble> solve_at(std::size_t i) const {
    return mesh_currents(task_.antenna, task_.ground, frequency_hz_[i], task_.options, mesh_);
  }

  cdouble feed_current(const std::vector<cdouble>& x) const {
    return std::inner_product(feed_.begin(), feed_.end(), x.begin(), cdouble(0.0));
  }

  /// Feed current and a dozen others: enough to find the poles.
  std::vector<Sample> samples() const {
    std::vector<Sample> all;
    for (std::size_t i = 0; i < solved_.size(); ++i) {
      const std::vector<cdouble>& x = solved_[i];
      if (x.empty()) continue;
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

  std::vector<cdouble> blend(const RationalFit& fit, std::size_t i) const {
    const std::vector<cdouble> share = fit.shares(frequency_hz_[i]);
    std::vector<cdouble> x(mesh_.functions.size(), 0.0);
    std::size_t known = 0;
    for (const std::vector<cdouble>& s : solved_) {
      if (s.empty() || share[known++] == 0.0) continue;
      for (std::size_t f = 0; f < x.size(); ++f) x[f] += share[known - 1] * s[f];
    }
    return x;
  }

  /// Distance of two current vectors: of |Z|, a fiftieth of that of R, a tenth of that of any current.
  double distance(const std::vector<cdouble>& a, const std::vector<cdouble>& b) const {
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
  void ask(const std::vector<Sample>& known) {
    const std::size_t count = frequency_hz_.size();
    const RationalFit other(known, std::max<std::size_t>(2, (known.size() - 1) / 2));
    std::vector<double> doubt(count, -1.0);
    foretold_.assign(count, {});
    for (std::size_t i = 0; i < count; ++i) {
      if (is_solved(i)) continue;
      foretold_[i] = blend(*fit_, i);
      doubt[i] = distance(blend(other, i), foretold_[i]);
    }
    const std::size_t beside = count / (4 * known.size());
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
  std::vector<std::vector<cdouble>> solved_;    // currents for 1 V; empty: not solved
  std::vector<std::vector<cdouble>> foretold_;  // by the fit before the last frequencies were solved
  std::optional<RationalFit> fit_;
  std::vector<std::size_t> wanted_;
};

}  // namespace

std::vector<AntennaSolution> sweep_antenna(const Antenna& antenna, const Ground& ground,
                                           std::span<const double> frequencies_hz, const SolveOptions& options,
                                           unsigned threads, const SweepProgress& progress) {
  for (const double f : frequencies_hz) check_solve(f, options);
  std::vector<double> sorted(frequencies_hz.begin(), frequencies_hz.end());
  std::sort(sorted.begin(), sorted.end());
  sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
  const Task task{antenna, ground, options};
  std::vector<Stretch> stretches;
  for (auto first = sorted.begin(); first != sorted.end();) {
    const auto apart = [](double low_hz, double high_hz) { return high_hz > joined_ratio * low_hz; };
    auto last = std::adjacent_find(first, sorted.end(), apart);
    if (last != sorted.end()) ++last;
    stretches.emplace_back(task, std::vector<double>(first, last));
    first = last;
  }

  Reporter report(progress, frequencies_hz.size());
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
      report();
    });
    for (Stretch& s : stretches) s.go_on();
  }

  std::vector<AntennaSolution> solutions(frequencies_hz.size());
  in_blocks(frequencies_hz.size(), 1, threads, [&](std::size_t n, std::size_t) {
    const double f = frequencies_hz[n];
    const auto s = std::find_if(stretches.begin(), stretches.end(),
                                [&](const Stretch& each) { return each.frequencies_hz().back() >= f; });
    const std::vector<double>& own = s->frequencies_hz();
    const auto i = static_cast<std::size_t>(std::lower_bound(own.begin(), own.end(), f) - own.begin());
    solutions[n] = s->solution(i);
    if (!s->is_solved(i)) report();
  });
  return solutions;
}

}  // namespace stile::wire
