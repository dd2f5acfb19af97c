#include <algorithm>
#include <array>
#include <cmath>
#include <exception>
#include <map>
#include <mutex>
#include <tuple>

#include <fmt/core.h>
#include <fmt/ranges.h>
#include <nlopt.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/quantity.hpp>
#include <stile/design/design.hpp>
#include <stile/design/detail/scoring.hpp>

namespace stile::design {
namespace {

using detail::Ask;
using detail::better;
using detail::grid;
using detail::grid_m;
using detail::in_order;
using detail::length_of;
using detail::quadratic_reach_m;
using detail::Score;
using detail::Scored;
using detail::Scoring;
using station::AntennaChoice;
using station::LengthChoice;

constexpr double cut_m = 0.01;                  // to which lengths without a stated step are rounded
constexpr std::size_t most_combinations = 300;  // antennas of several wires that are tried one and all
constexpr std::size_t batch = 16;               // antennas between two looks at what is the best so far
constexpr int steps_of_one = 14;                // of a local search for each length ...
constexpr int steps_of_many = 8;                // ... where a quadratic tells
constexpr std::size_t starts_by_rank = 2, starts_by_excess = 2;  // of local searches, for each class; with many
                                                                 // lengths one by rank
constexpr double worth_starting_db = 3.0;  // from the best of a class, of a place that is refined as well
constexpr double promising = 0.7;       // excess over the SWR limit, as a logarithm, from where a band may come to hold
constexpr double most_error_db = 0.05;  // of an interpolated antenna that is taken for solved
constexpr int most_corrected = 3;       // searches with interpolation corrected where the one before ended
constexpr int quadratics = 2;           // of a local search over many lengths, the second about where the first ended
constexpr double close_db = 0.05;       // stations that near to the best of their class are solved exactly
constexpr double tolerance_db = 0.5;

/// To the nearest of so many in a metre.
double rounded(double length_m, double per_m) { return std::round(length_m * per_m) / per_m; }

/// Every falling row of n lengths.
std::vector<std::vector<double>> falling_rows(const std::vector<double>& lengths_m, std::size_t n) {
  std::vector<std::vector<double>> rows{{}};
  for (std::size_t k = 0; k < n; ++k) {
    std::vector<std::vector<double>> longer;
    for (const std::vector<double>& row : rows) {
      for (const double length_m : lengths_m) {
        if (!row.empty() && length_m > row.back()) continue;
        longer.push_back(row);
        longer.back().push_back(length_m);
      }
    }
    rows = std::move(longer);
  }
  return rows;
}

/// How many falling rows there are, as a double: they may be very many.
double combinations(std::size_t lengths, std::size_t n) {
  double count = 1.0;
  for (std::size_t k = 0; k < n; ++k) count *= static_cast<double>(lengths + k) / static_cast<double>(k + 1);
  return count;
}

std::string wire_name(const AntennaChoice& a, std::size_t n) {
  return a.wires_m.size() == 1 ? "wire length" : fmt::format("length of wire {}", n + 1);
}

class Search {
public:
  Search(const station::Brief& brief, const SearchOptions& options)
      : brief_(brief), options_(options), scoring_(brief, options), best_(scoring_.networks().size()) {
    for (Score& score : best_) score.objective_db = HUGE_VAL;
    whips_m_ = grid(brief.whip, station::longest_whip_m(brief));
    most_whip_m_ = whips_m_.back();
    if (brief.most_wires > 0) wires_m_ = grid(brief.wire, HUGE_VAL);
  }

  Design run() {
    design_.objective = options_.objective;
    design_.towards_path = scoring_.towards_path();
    for (int n = brief_.least_wires; n <= brief_.most_wires; ++n) with_wires(static_cast<std::size_t>(n));
    design_.searched.exhaustive = all_tried_ && steps_stated() && !stopped_;
    if (!steps_stated()) refine();
    answer();
    return std::move(design_);
  }

private:
  Touch touch_of(std::size_t n) const { return brief_.networks[scoring_.networks()[n]].touch; }

  bool steps_stated() const {
    const auto fixed = [](const LengthChoice& c) { return c.step_m || c.range_m.low == c.range_m.high; };
    return fixed(brief_.whip) && (brief_.most_wires == 0 || fixed(brief_.wire));
  }

  bool stop() {
    stopped_ = stopped_ || (options_.stop && options_.stop());
    return stopped_;
  }

  void tell(const std::string& text) {
    if (!options_.progress) return;
    const std::size_t done = scoring_.antennas().antennas();
    options_.progress({done, std::max(planned_, done), text});
  }

  /// From within a local search, of which several run at once. @return  it is to end
  bool told_to_stop(const std::string& text) {
    const std::lock_guard<std::mutex> lock(telling_);
    if (!stop()) tell(text);
    return stopped_;
  }

  /// The best of a network's class so far.
  std::vector<Score> best_of_classes() const {
    std::vector<Score> best(best_.size());
    for (std::size_t n = 0; n < best.size(); ++n) {
      best[n] = best_[n];
      for (std::size_t m = 0; m < best.size(); ++m) {
        if (touch_of(m) == touch_of(n) && better(options_.objective, best_[m], best[n])) best[n] = best_[m];
      }
    }
    return best;
  }

  void take(const Scored& scored) {
    design_.searched.settings += scored.settings;
    design_.searched.skipped += scored.skipped;
    const auto [place, fresh] = known_.emplace(scored.antenna, scored);
    for (std::size_t n = 0; n < best_.size(); ++n) {
      if (!fresh && better(options_.objective, scored.scores[n], place->second.scores[n]))
        place->second.scores[n] = scored.scores[n];
      if (!better(options_.objective, scored.scores[n], best_[n])) continue;
      best_[n] = scored.scores[n];
    }
  }

  std::vector<Scored> score_all(const std::vector<AntennaChoice>& antennas, const Ask& ask) {
    std::vector<AntennaChoice> solved;
    for (const AntennaChoice& a : antennas) {
      if (scoring_.wanted(a, ask)) solved.push_back(a);
    }
    scoring_.antennas().solve_all(solved, options_.threads);
    std::vector<Scored> results(antennas.size());
    in_blocks(antennas.size(), 1, options_.threads, [&](std::size_t first, std::size_t last) {
      for (std::size_t k = first; k < last; ++k) results[k] = scoring_.score(antennas[k], ask);
    });
    return results;
  }

  /// Scores what is not known yet, batch by batch.
  void try_all(std::vector<AntennaChoice> antennas, const std::string& text) {
    // Those with wires in common one after the other: what these do to each other is then still known.
    std::sort(antennas.begin(), antennas.end(), [](const AntennaChoice& a, const AntennaChoice& b) {
      return std::tie(a.layout, a.wires_m, a) < std::tie(b.layout, b.wires_m, b);
    });
    antennas.erase(std::unique(antennas.begin(), antennas.end()), antennas.end());
    std::erase_if(antennas, [&](const AntennaChoice& a) { return known_.count(a) != 0; });
    // One wire costs little to solve. Far apart first: what is good is found early and excludes more.
    std::vector<AntennaChoice> spread;
    const std::size_t stride = !antennas.empty() && antennas.front().wires_m.size() > 1 ? 1 : 7;
    for (std::size_t first = 0; first < stride; ++first) {
      for (std::size_t n = first; n < antennas.size(); n += stride) spread.push_back(antennas[n]);
    }
    planned_ = scoring_.antennas().antennas() + spread.size();
    for (std::size_t first = 0; first < spread.size() && !stop(); first += batch) {
      tell(text);
      const std::vector<AntennaChoice> now(spread.begin() + static_cast<std::ptrdiff_t>(first),
                                           spread.begin() +
                                               static_cast<std::ptrdiff_t>(std::min(first + batch, spread.size())));
      for (const Scored& scored : score_all(now, {best_of_classes(), {}, false})) take(scored);
    }
  }

  /// The best antenna of each class, with so many wires where that is asked.
  std::vector<AntennaChoice> winners(std::optional<std::size_t> wires) const {
    std::vector<AntennaChoice> all;
    for (const Touch touch : scoring_.touches()) {
      const Scored* found = nullptr;
      Score best{0, HUGE_VAL};
      for (const auto& [antenna, scored] : known_) {
        if (wires && antenna.wires_m.size() != *wires) continue;
        for (std::size_t n = 0; n < best_.size(); ++n) {
          if (touch_of(n) != touch || !better(options_.objective, scored.scores[n], best)) continue;
          best = scored.scores[n];
          found = &scored;
        }
      }
      if (found != nullptr && std::find(all.begin(), all.end(), found->antenna) == all.end())
        all.push_back(found->antenna);
    }
    return all;
  }

  /// Everything of an antenna but its lengths, in every combination: without any of it first.
  std::vector<AntennaChoice> variants(std::size_t wires) const {
    std::vector<AntennaChoice> all;
    for (std::size_t layout = 0; layout < (wires > 1 ? brief_.layouts.size() : 1); ++layout) {
      for (std::size_t loading = 0; loading < brief_.loading.size(); ++loading) {
        for (std::size_t hat = 0; hat < brief_.hats.size(); ++hat) {
          for (std::size_t choke = 0; choke < brief_.chokes.size(); ++choke)
            all.push_back({0.0, {}, choke, hat, loading, layout});
        }
      }
    }
    return all;
  }

  /// These with one thing other than it is; the lengths stay.
  std::vector<AntennaChoice> one_otherwise(const AntennaChoice& a) const {
    std::vector<AntennaChoice> all;
    const auto each = [&](std::size_t count, std::size_t AntennaChoice::*option) {
      for (std::size_t n = 0; n < count; ++n) {
        all.push_back(a);
        all.back().*option = n;
      }
    };
    each(brief_.chokes.size(), &AntennaChoice::choke);
    each(brief_.hats.size(), &AntennaChoice::hat);
    each(brief_.loading.size(), &AntennaChoice::loading);
    each(a.wires_m.size() > 1 ? brief_.layouts.size() : 0, &AntennaChoice::layout);
    return all;
  }

  /// Of the lengths of a wire every other one, the ends, and the neighbours of one. Without a step these are whole
  /// metres, so that those of narrower limits are among those of wider ones.
  std::vector<double> thinned(std::optional<double> near_m) const {
    const double step_m = brief_.wire.step_m.value_or(grid_m), from_m = brief_.wire.step_m ? wires_m_.front() : 0.0;
    std::vector<double> kept;
    for (const double length_m : wires_m_) {
      const double twos = (length_m - from_m) / (2.0 * step_m);
      if (std::abs(twos - std::round(twos)) < 1e-6 || length_m == wires_m_.front() || length_m == wires_m_.back() ||
          (near_m && std::abs(length_m - *near_m) < 1.01 * step_m))
        kept.push_back(length_m);
    }
    return kept;
  }

  /// So many wires: every combination where these are few; otherwise a first set that is spread over all, and from its
  /// best one thing at a time.
  void with_wires(std::size_t count) {
    const std::string text = fmt::format("{} wire{}", count, count == 1 ? "" : "s");
    const std::vector<AntennaChoice> kinds = variants(count);
    const double rows = combinations(wires_m_.size(), count),
                 all = static_cast<double>(whips_m_.size() * kinds.size()) * rows;
    std::vector<AntennaChoice> antennas;
    // Of the first kind, without any extra, all lengths; of the others one in so many, of each kind others.
    const auto add_rows = [&](const std::vector<std::vector<double>>& lengths, std::size_t one_of) {
      for (std::size_t k = 0; k < kinds.size(); ++k) {
        for (std::size_t w = 0; w < whips_m_.size(); ++w) {
          for (std::size_t row = 0; row < lengths.size(); ++row) {
            if (k > 0 && (k + w * ((one_of + 1) / 2) + row) % one_of != 0) continue;
            antennas.push_back(kinds[k]);
            antennas.back().whip_m = whips_m_[w];
            antennas.back().wires_m = lengths[row];
          }
        }
      }
    };
    const bool extras = kinds.size() > brief_.chokes.size();
    if (all <= static_cast<double>(most_combinations) || (count <= 1 && (steps_stated() || !extras))) {
      add_rows(falling_rows(wires_m_, count), 1);
      try_all(std::move(antennas), text);
      return;
    }
    all_tried_ = false;
    if (count <= 1 || count == static_cast<std::size_t>(brief_.least_wires)) {
      std::vector<std::vector<double>> equal{{}};
      if (count > 0) equal.clear();
      for (const double length_m : count > 1 ? thinned({}) : wires_m_) equal.emplace_back(count, length_m);
      const double many = static_cast<double>(whips_m_.size() * kinds.size() * equal.size());
      add_rows(equal, extras ? static_cast<std::size_t>(std::ceil(many / static_cast<double>(most_combinations))) : 1);
    } else {
      for (const AntennaChoice& best : winners(count - 1)) {
        for (const double length_m : wires_m_) {
          for (std::size_t layout = 0; layout < brief_.layouts.size(); ++layout) {
            AntennaChoice more = best;
            more.layout = layout;
            more.wires_m.push_back(length_m);
            antennas.push_back(in_order(more));
          }
        }
      }
    }
    try_all(std::move(antennas), text);
    for (std::vector<AntennaChoice> last; !stop();) {
      const std::vector<AntennaChoice> best = winners(count);
      if (best == last) break;
      last = best;
      antennas.clear();
      for (const AntennaChoice& a : best) {
        for (AntennaChoice& other : one_otherwise(a)) antennas.push_back(std::move(other));
        for (std::size_t n = 0; n <= count; ++n) {
          for (const double length_m : n == 0 ? whips_m_ : count > 1 ? thinned(length_of(a, n)) : wires_m_) {
            AntennaChoice other = a;
            length_of(other, n) = length_m;
            antennas.push_back(in_order(other));
          }
        }
      }
      try_all(std::move(antennas), text + ", one thing at a time");
    }
  }

  /// Antennas and networks of a class, the best first.
  struct Ranked {
    Score score;
    AntennaChoice antenna;
    std::size_t network = 0;
  };
  std::vector<Ranked> ranked(Touch touch) const {
    std::vector<Ranked> all;
    for (const auto& [antenna, scored] : known_) {
      for (std::size_t n = 0; n < best_.size(); ++n) {
        if (touch_of(n) == touch && std::isfinite(scored.scores[n].objective_db))
          all.push_back({scored.scores[n], antenna, n});
      }
    }
    std::stable_sort(all.begin(), all.end(),
                     [&](const Ranked& a, const Ranked& b) { return better(options_.objective, a.score, b.score); });
    return all;
  }

  /// What a local search makes least: under Objective::held a band more that holds outweighs all loss. While it seeks,
  /// how far the band nearest to holding is from it counts as well, so that the way there shows before it is reached.
  double worth(const Score& score, bool seeking) const {
    constexpr double nowhere = 1e6, band_db = 1e3, excess_db = 100.0, most_excess = 5.0;
    if (!std::isfinite(score.objective_db)) return nowhere;
    if (options_.objective == Objective::mean) return score.objective_db;
    const double fewer = static_cast<double>(brief_.given.bands.size() - score.held);
    return score.objective_db + band_db * fewer + (seeking ? excess_db * std::min(most_excess, score.nearest) : 0.0);
  }

  /// A place from which lengths are refined, for some networks of one class.
  struct Start {
    AntennaChoice antenna;
    std::vector<std::size_t> networks;
    std::vector<Scored> found{};  ///< where it ended, each time, solved
  };

  bool far_apart(const AntennaChoice& a, const AntennaChoice& b) const {
    if (std::tie(a.choke, a.hat, a.loading, a.layout) != std::tie(b.choke, b.hat, b.loading, b.layout) ||
        a.wires_m.size() != b.wires_m.size())
      return true;
    double most_m = std::abs(a.whip_m - b.whip_m);
    for (std::size_t w = 0; w < a.wires_m.size(); ++w) most_m = std::max(most_m, std::abs(a.wires_m[w] - b.wires_m[w]));
    return most_m > 1.01 * grid_m;
  }

  /// Of each class the best places that are not neighbours: by rank, and by what is nearest to holding one band more.
  std::vector<Start> starts() const {
    std::vector<Start> all;
    for (const Touch touch : scoring_.touches()) {
      std::vector<Ranked> places = ranked(touch);
      if (places.empty()) continue;
      const Score best = places.front().score;
      std::vector<AntennaChoice> taken;
      const bool many = scoring_.antennas().many_lengths(places.front().antenna);
      const auto take = [&](bool seeking, std::size_t most) {
        std::stable_sort(places.begin(), places.end(), [&](const Ranked& a, const Ranked& b) {
          return worth(a.score, seeking) < worth(b.score, seeking);
        });
        std::size_t count = 0;
        for (const Ranked& place : places) {
          if (count == most) break;
          if (seeking && place.score.nearest > promising) continue;
          if (!seeking && worth(place.score, false) > worth(best, false) + worth_starting_db) break;
          if (std::any_of(taken.begin(), taken.end(),
                          [&](const AntennaChoice& a) { return !far_apart(a, place.antenna); }))
            continue;
          ++count;
          taken.push_back(place.antenna);
          Start start{place.antenna, {}, {}};
          const std::vector<Score>& scores = known_.at(place.antenna).scores;
          for (std::size_t n = 0; n < scores.size(); ++n) {
            if (touch_of(n) == touch && worth(scores[n], true) <= worth(place.score, true) + worth_starting_db)
              start.networks.push_back(n);
          }
          all.push_back(std::move(start));
        }
      };
      take(false, many ? 1 : starts_by_rank);
      if (!many && options_.objective == Objective::held && best.held < brief_.given.bands.size())
        take(true, starts_by_excess);
    }
    return all;
  }

  /// One local search over the lengths that may be any: towards a band more that holds, then towards less loss.
  /// Antennas between those of the grid are interpolated; where it ends is solved, and if that is otherwise, searched
  /// on with interpolation corrected there, at last without. Many lengths: with a quadratic about where it starts,
  /// then about where it ended.
  void refine(Start& start) {
    std::vector<std::size_t> free;
    std::vector<double> low, high;
    for (std::size_t n = 0; n <= start.antenna.wires_m.size(); ++n) {
      const LengthChoice& choice = n == 0 ? brief_.whip : brief_.wire;
      const double most_m = n == 0 ? most_whip_m_ : choice.range_m.high;
      if (choice.step_m || !(choice.range_m.low < most_m)) continue;
      free.push_back(n);
      low.push_back(choice.range_m.low);
      high.push_back(most_m);
    }
    if (free.empty()) return;
    struct Problem {
      Search& search;
      const Start& start;
      const std::vector<std::size_t>& free;
      const std::vector<double>&low, &high;
      bool quadratic, interpolated = true, seeking = true;
      std::optional<AntennaChoice> near{};
      AntennaChoice at{};                // the best so far ...
      Score best{0, network::infinite};  // ... and its score
      std::map<AntennaChoice, Score> tried{};
      nlopt_opt solver = nullptr;
      std::exception_ptr thrown{};

      Score score(const AntennaChoice& a) const {
        Score of_best{0, network::infinite};
        for (const std::size_t n : start.networks) {
          Ask ask{{}, n, false};
          ask.interpolated = interpolated, ask.near = near;
          const Score s = search.scoring_.score(a, ask).scores[n];
          if (search.worth(s, seeking) < search.worth(of_best, seeking)) of_best = s;
        }
        return of_best;
      }
      /// Of a length; a quadratic is not asked farther away than it reaches.
      double lowest(std::size_t k) const {
        return quadratic ? std::max(low[k], length_of(*near, free[k]) - quadratic_reach_m) : low[k];
      }
      double highest(std::size_t k) const {
        return quadratic ? std::min(high[k], length_of(*near, free[k]) + quadratic_reach_m) : high[k];
      }
      /// Whether what is best lies where a quadratic ends and more may lie beyond.
      bool at_its_end() const {
        for (std::size_t k = 0; quadratic && k < free.size(); ++k) {
          const double m = length_of(at, free[k]);
          if ((m <= lowest(k) && m > low[k]) || (m >= highest(k) && m < high[k])) return true;
        }
        return false;
      }
      double worth(const double* lengths_m) {
        AntennaChoice a = start.antenna;
        for (std::size_t k = 0; k < free.size(); ++k)
          length_of(a, free[k]) = std::clamp(rounded(lengths_m[k], 1.0 / cut_m), lowest(k), highest(k));
        return take(in_order(a));
      }
      double take(const AntennaChoice& a) {
        auto known = tried.find(a);
        if (known == tried.end()) known = tried.emplace(a, score(a)).first;
        if (search.worth(known->second, seeking) < search.worth(best, seeking)) best = known->second, at = a;
        return search.worth(known->second, seeking);
      }
      void run() {
        std::vector<double> x;
        for (const std::size_t n : free) x.push_back(length_of(at, n));
        solver = nlopt_create(NLOPT_LN_SBPLX, static_cast<unsigned>(free.size()));
        std::vector<double> from, to;
        for (std::size_t k = 0; k < free.size(); ++k) from.push_back(lowest(k)), to.push_back(highest(k));
        nlopt_set_lower_bounds(solver, from.data());
        nlopt_set_upper_bounds(solver, to.data());
        nlopt_set_initial_step1(solver, 0.5 * grid_m);
        nlopt_set_xtol_abs1(solver, 0.5 * cut_m);
        nlopt_set_maxeval(solver, (quadratic ? steps_of_many : steps_of_one) * static_cast<int>(free.size()));
        nlopt_set_min_objective(
            solver,
            [](unsigned, const double* lengths_m, double*, void* data) {
              Problem& problem = *static_cast<Problem*>(data);
              try {
                if (!problem.search.told_to_stop("refining lengths")) return problem.worth(lengths_m);
              } catch (...) {  // not through the solver, which is C
                problem.thrown = std::current_exception();
              }
              nlopt_force_stop(problem.solver);
              return HUGE_VAL;
            },
            this);
        double least = 0.0;
        nlopt_optimize(solver, x.data(), &least);
        nlopt_destroy(solver);
        if (thrown) std::rethrow_exception(thrown);
      }
    } problem{*this, start, free, low, high, scoring_.antennas().many_lengths(start.antenna)};
    problem.at = start.antenna;
    const int rounds = problem.quadratic ? quadratics : most_corrected + 2;
    for (int round = 0; round < rounds; ++round) {
      problem.interpolated = round <= most_corrected;
      if (round > 0 || problem.quadratic) problem.near = problem.at;
      for (const bool seeking : {true, false}) {
        if (seeking && options_.objective == Objective::mean) continue;
        problem.seeking = seeking;
        problem.best = problem.score(problem.at);  // the two rank, and take the best match, each in its own way
        problem.tried = {{problem.at, problem.best}};
        if (!seeking) {  // what was sought may have been paid for with a band that held
          problem.interpolated = problem.interpolated && !problem.quadratic;
          problem.take(start.antenna);
          problem.interpolated = round <= most_corrected;
        }
        problem.run();
        if (seeking && problem.best.nearest == 0.0) break;
      }
      if (told_to_stop("refining lengths")) return;
      Ask ask{{}, {}, false};
      start.found.push_back(scoring_.score(problem.at, ask));
      Score solved{0, network::infinite};
      for (const std::size_t n : start.networks) {
        const Score& score = start.found.back().scores[n];
        if (better(options_.objective, score, solved)) solved = score;
      }
      const bool as_said =
          solved.held >= problem.best.held && solved.objective_db <= problem.best.objective_db + most_error_db;
      if (as_said && !problem.at_its_end()) break;
    }
  }

  void refine() {
    std::vector<Start> from = starts();
    if (from.empty() || stop()) return;
    std::size_t each = 0;  // that a local search solves, at a guess
    for (const Start& start : from) {
      const std::size_t lengths = 1 + start.antenna.wires_m.size();
      each = std::max(each, scoring_.antennas().many_lengths(start.antenna) ? lengths * (lengths + 1)
                                                                            : static_cast<std::size_t>(steps_of_one));
    }
    planned_ = scoring_.antennas().antennas() + from.size() * each;
    tell("refining lengths");
    in_blocks(from.size(), 1, options_.threads, [&](std::size_t first, std::size_t last) {
      for (std::size_t k = first; k < last; ++k) refine(from[k]);
    });
    for (const Start& start : from) {
      for (const Scored& scored : start.found) take(scored);
    }
  }

  std::string file_stem(Touch touch) const { return fmt::format("touch-{}", station::touch_name(touch)); }

  /// Of the search's figure against the exact one. A coil that got turns of its own may be better than it was searched
  /// with.
  static double error_db(const DesignedStation& exact, const Score& searched) {
    const double worse_db = exact.objective_db - searched.objective_db;
    return exact.coil.empty() ? std::abs(worse_db) : std::max(0.0, worse_db);
  }

  void answer() {
    for (const Touch touch : scoring_.touches()) {
      const std::vector<Ranked> all = ranked(touch);
      std::optional<DesignedStation> best;
      const std::size_t most = stopped_ ? 1 : design_.searched.exhaustive ? 8 : 2;
      for (std::size_t k = 0; k < std::min(most, all.size()); ++k) {
        if (all[k].score.held != all.front().score.held && options_.objective == Objective::held) break;
        if (all[k].score.objective_db > all.front().score.objective_db + close_db) break;
        tell(fmt::format("touch {}: solved exactly", station::touch_name(touch)));
        DesignedStation exact = scoring_.exact(all[k].antenna, scoring_.networks()[all[k].network], file_stem(touch));
        design_.searched.worst_error_db = std::max(design_.searched.worst_error_db, error_db(exact, all[k].score));
        if (!best ||
            better(options_.objective, {exact.held_bands, exact.objective_db}, {best->held_bands, best->objective_db}))
          best = std::move(exact);
      }
      if (best) {
        best->at_limit = at_limit(*best);
        design_.stations.push_back(std::move(*best));
      }
    }
    std::stable_sort(
        design_.stations.begin(), design_.stations.end(), [&](const DesignedStation& a, const DesignedStation& b) {
          return better(options_.objective, {a.held_bands, a.objective_db}, {b.held_bands, b.objective_db});
        });
    design_.status = stopped_ ? Status::unfinished : design_.stations.empty() ? Status::none : Status::found;
    if (design_.stations.empty()) {
      nearest();
    } else {
      if (!stopped_ && options_.look_around) look_around();
      tried();
    }
    say_how();
    design_.antennas = scoring_.shared_antennas();
  }

  std::vector<std::string> at_limit(const DesignedStation& d) const {
    std::vector<std::string> limits;
    const auto at = [&](const std::string& what, double length_m, const Range& range_m) {
      if (range_m.low == range_m.high) return;
      if (length_m <= range_m.low * (1.0 + 1e-9))
        limits.push_back(fmt::format("{} at its lower limit {}", what, print_quantity(range_m.low, Unit::metre)));
      if (length_m >= range_m.high * (1.0 - 1e-9))
        limits.push_back(fmt::format("{} at its upper limit {}", what, print_quantity(range_m.high, Unit::metre)));
    };
    at("whip length", d.antenna.whip_m, brief_.whip.range_m);
    for (std::size_t w = 0; w < d.antenna.wires_m.size(); ++w)
      at(wire_name(d.antenna, w), d.antenna.wires_m[w], brief_.wire.range_m);
    const int wires = static_cast<int>(d.antenna.wires_m.size());
    if (brief_.least_wires < brief_.most_wires && wires == brief_.most_wires)
      limits.push_back(fmt::format("number of wires at its upper limit {}", wires));
    if (brief_.most_height_m && most_whip_m_ < brief_.whip.range_m.high &&
        d.antenna.whip_m >= most_whip_m_ * (1.0 - 1e-9))
      limits.push_back(fmt::format("top at its limit {}", print_quantity(*brief_.most_height_m, Unit::metre)));
    constexpr double spare_kg = 5e-3;
    if (brief_.most_mass_kg && d.mass_kg > *brief_.most_mass_kg - spare_kg)
      limits.push_back(fmt::format("mass at its limit {}", print_quantity(*brief_.most_mass_kg, Unit::kilogram)));
    return limits;
  }

  /// Nothing is within the limits: the lightest station, and what it lacks; or nothing could be solved.
  void nearest() {
    if (stopped_) return;
    const AntennaChoice lightest{brief_.whip.range_m.low,
                                 std::vector(static_cast<std::size_t>(brief_.least_wires), brief_.wire.range_m.low), 0};
    std::size_t least = 0;
    for (std::size_t n = 1; n < best_.size(); ++n) {
      if (scoring_.mass_kg(lightest, scoring_.networks()[n]) < scoring_.mass_kg(lightest, scoring_.networks()[least]))
        least = n;
    }
    const std::size_t network = scoring_.networks()[least];
    if (brief_.most_mass_kg && !scoring_.within(lightest, network)) {
      design_.relax =
          fmt::format("the limit of mass: the lightest station, a whip of {} with {} and {}, weighs {}, the "
                      "limit is {}",
                      print_quantity(lightest.whip_m, Unit::metre), wires_of(lightest), brief_.networks[network].name,
                      print_quantity(scoring_.mass_kg(lightest, network), Unit::kilogram),
                      print_quantity(*brief_.most_mass_kg, Unit::kilogram));
      design_.stations.push_back(scoring_.exact(lightest, network, "nearest"));
      return;
    }
    design_.relax = "the limits of lengths: no antenna within them can be solved with a match that takes power";
  }

  static std::string wires_of(const AntennaChoice& a) {
    if (a.wires_m.empty()) return "no wire";
    std::vector<std::string> lengths;
    for (const double length_m : a.wires_m) lengths.push_back(print_quantity(length_m, Unit::metre));
    return fmt::format("{} of {}", a.wires_m.size() == 1 ? "a wire" : "wires", fmt::join(lengths, ", "));
  }

  /// What a little more or less of each length does to the first station.
  void look_around() {
    const DesignedStation& first = design_.stations.front();
    const auto place = std::find(scoring_.networks().begin(), scoring_.networks().end(), first.network);
    const Ask ask{{}, static_cast<std::size_t>(place - scoring_.networks().begin()), true};
    constexpr std::array<double, 4> steps_m{least_cut_m, 0.1, 0.2, 0.4};
    const std::size_t lengths = 1 + first.antenna.wires_m.size();
    std::vector<AntennaChoice> antennas{first.antenna};
    for (std::size_t n = 0; n < lengths; ++n) {
      for (const double sign : {-1.0, 1.0}) {
        for (const double step_m : steps_m) {
          AntennaChoice other = first.antenna;
          length_of(other, n) = std::max(0.05, rounded(length_of(other, n) + sign * step_m, 1e6));
          antennas.push_back(in_order(other));
        }
      }
    }
    // As much longer as 10 g are; where that is more than the length itself it is no little more.
    constexpr double some_kg = 0.01;
    std::vector<std::pair<std::size_t, std::size_t>> heavier;  // a length, its place in `antennas`
    for (std::size_t n = 0; n < lengths; ++n) {
      const double kg_per_m = n == 0 ? brief_.whip_kg_per_m : brief_.wire_kg_per_m;
      AntennaChoice other = first.antenna;
      double& length_m = length_of(other, n);
      if (!(kg_per_m * length_m >= some_kg)) continue;
      length_m = rounded(length_m + some_kg / kg_per_m, 1e6);
      heavier.emplace_back(n, antennas.size());
      antennas.push_back(in_order(other));
    }
    const std::size_t more = antennas.size();
    if (first.antenna.wires_m.size() < 5 && !wires_m_.empty()) {
      const bool many = scoring_.antennas().many_lengths(first.antenna);
      for (const double length_m : many ? thinned({}) : wires_m_) {
        AntennaChoice other = first.antenna;
        other.wires_m.push_back(length_m);
        antennas.push_back(in_order(other));
      }
    }
    planned_ = scoring_.antennas().antennas() + antennas.size();
    tell("what a little more or less does");
    const std::vector<Scored> scores = score_all(antennas, ask);
    const auto score = [&](std::size_t k) -> const Score& { return scores[k].scores[*ask.only]; };
    const auto objective_db = [&](std::size_t k) { return score(k).objective_db; };
    const auto stops = [&](std::size_t k) {
      std::vector<std::string> bands;
      if (options_.objective != Objective::held) return bands;
      for (const std::string& band : score(k).not_held) {
        const std::vector<std::string>& before = score(0).not_held;
        if (std::find(before.begin(), before.end(), band) == before.end()) bands.push_back(band);
      }
      return bands;
    };
    for (const Scored& s : scores) design_.searched.settings += s.settings;
    for (std::size_t n = 0; n < lengths; ++n) {
      const std::string name = n == 0 ? "whip length" : wire_name(first.antenna, n - 1);
      const std::size_t at = 1 + n * 2 * steps_m.size();
      CutTolerance cut{name, steps_m.back(), steps_m.back(), false, false, {}, {}};
      for (const bool longer : {false, true}) {
        double last_m = 0.0, last_db = 0.0;
        for (std::size_t k = 0; k < steps_m.size(); ++k) {
          const std::size_t there = at + (longer ? steps_m.size() : 0) + k;
          const double worse_db = objective_db(there) - objective_db(0);
          if (std::vector<std::string> bands = stops(there); !bands.empty()) {
            (longer ? cut.longer_m : cut.shorter_m) = last_m;
            (longer ? cut.longer_reached : cut.shorter_reached) = true;
            (longer ? cut.longer_stops : cut.shorter_stops) = std::move(bands);
            break;
          }
          if (!(worse_db < tolerance_db)) {
            const double part = std::isfinite(worse_db) ? (tolerance_db - last_db) / (worse_db - last_db) : 0.0;
            (longer ? cut.longer_m : cut.shorter_m) = last_m + part * (steps_m[k] - last_m);
            (longer ? cut.longer_reached : cut.shorter_reached) = true;
            break;
          }
          last_m = steps_m[k], last_db = worse_db;
        }
      }
      design_.cuts.push_back(cut);
      const std::size_t longer = at + steps_m.size() + 1;  // by 0.1 m
      const double gain_db = objective_db(0) - objective_db(longer);
      design_.sensitivity.push_back({name, gain_db, "10 cm", stops(longer)});
    }
    std::optional<Sensitivity> of_10_g;  // where it gains most; that no band stops for it comes first
    for (const auto& [n, there] : heavier) {
      if (!std::isfinite(objective_db(there))) continue;
      const Sensitivity s{n == 0 ? "mass, into the whip" : "mass, into a wire", objective_db(0) - objective_db(there),
                          "10 g", stops(there)};
      const auto rank = [](const Sensitivity& of) { return std::pair(of.stops.empty(), of.db_per_unit); };
      if (!of_10_g || rank(s) > rank(*of_10_g)) of_10_g = s;
    }
    if (of_10_g) design_.sensitivity.push_back(*of_10_g);
    std::size_t best = more;
    for (std::size_t k = more + 1; k < antennas.size(); ++k) {
      if (better(options_.objective, score(k), score(best))) best = k;
    }
    if (best < antennas.size() && std::isfinite(objective_db(best)))
      design_.sensitivity.push_back({fmt::format("number of wires (the best of a grid: {})", wires_of(antennas[best])),
                                     objective_db(0) - objective_db(best), "1 wire", stops(best)});
  }

  void tried() {
    for (const auto& [antenna, scored] : known_) {
      for (std::size_t n = 0; n < best_.size(); ++n) {
        const Score& score = scored.scores[n];
        if (!std::isfinite(score.objective_db)) continue;
        const std::size_t network = scoring_.networks()[n];
        design_.tried.push_back({antenna, network, scoring_.mass_kg(antenna, network),
                                 scoring_.mass_known(antenna, network), score.objective_db, score.held,
                                 score.counted_db, score.holds});
      }
    }
  }

  void say_how() {
    Searched& s = design_.searched;
    s.antennas = scoring_.antennas().antennas();
    s.solves = scoring_.antennas().solves();
    const std::string until = brief_.most_wires > 1
                                  ? "until no single change helped (of a wire's length: to the next and every other)"
                                  : std::string("until no single change helped");
    s.how = stopped_       ? "stopped: the best of what had been solved"
            : s.exhaustive ? "every antenna of the stated steps was solved"
            : all_tried_   ? "a grid of 0.5 m, refined from its best places for each class: a local optimum"
            : steps_stated()
                ? "stated steps; wires were added one after the other and one thing at a time changed " + until +
                      ": a local optimum"
                : "a grid of 0.5 m; wires were added one after the other and one thing at a time changed " + until +
                      ", then lengths refined: a local optimum";
    s.how += "; over whip length" + std::string(brief_.most_wires > 0 ? ", number and lengths of wires" : "");
    const auto over = [&](std::size_t count, const char* what) {
      if (count > 1) s.how += fmt::format(", {} {}", count, what);
    };
    over(brief_.most_wires > 1 ? brief_.layouts.size() : 0, "layouts");
    over(brief_.chokes.size(), "choices of a choke");
    over(brief_.hats.size(), "of a hat");
    over(brief_.loading.size(), "of a coil on the whip");
    over(scoring_.networks().size(), "matches");
    std::vector<std::string>& notes = design_.notes;
    notes.insert(notes.end(), brief_.assumed.begin(), brief_.assumed.end());
    if (!brief_.computed_coils)
      notes.emplace_back("Q assumed: the coils of the matches have the Q that [parts] states.");
    if (!brief_.hand)
      notes.emplace_back("No condition has a hand on the set: what a hand does may be more than all that was chosen "
                         "here, and may change which is the best.");
    std::vector<std::string> fixed;
    if (brief_.chokes.size() == 1) fixed.emplace_back("a choke");
    if (brief_.hats.size() == 1) fixed.emplace_back("a hat");
    if (brief_.loading.size() == 1) fixed.emplace_back("a coil part-way up the whip");
    if (brief_.most_wires > 1 && brief_.layouts.size() == 1) fixed.emplace_back("the layout of wires");
    if (!fixed.empty()) notes.push_back(fmt::format("Not varied: {}.", fmt::join(fixed, ", ")));
    if (std::any_of(brief_.loading.begin() + 1, brief_.loading.end(),
                    [](const station::LoadingOption& l) { return !l.wound; }))
      notes.emplace_back("Q assumed: a coil on the whip that is stated by its inductance has the Q that is stated.");
    if (!brief_.coils.empty() && brief_.coils.front().turns == 0.0)
      notes.emplace_back(
          "Wound coils were searched with the turns that the shortest antenna needs; those of the answer have "
          "what serves theirs better.");
    notes.emplace_back("The model has no vegetation and one flat soil a condition; real ground leaves +-30..50 % on "
                       "what is lost in it.");
  }

  const station::Brief& brief_;
  const SearchOptions& options_;
  Scoring scoring_;
  std::vector<double> whips_m_, wires_m_;
  double most_whip_m_ = 0.0;
  std::map<AntennaChoice, Scored> known_;
  std::vector<Score> best_;  // by network
  std::size_t planned_ = 0;
  bool stopped_ = false, all_tried_ = true;
  Design design_;
  std::mutex telling_;
};

}  // namespace

Design find_stations(const station::Brief& brief, const SearchOptions& options) { return Search(brief, options).run(); }

}  // namespace stile::design
