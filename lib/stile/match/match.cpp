#include <stile/match/match.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <tuple>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/range.hpp>
#include <stile/base/roots.hpp>
#include <stile/match/detail/section.hpp>

namespace stile::match {
namespace {

constexpr int scan_steps = 400;
constexpr double matched_reflection = 1e-9;  // |reflection| that counts as matched
constexpr std::array kinds = {PartKind::inductor, PartKind::capacitor};

/// What stays the same for all members of a request.
struct Problem {
  const MatchRequest& request;
  cdouble z_target, z_load;
};

void check(const MatchRequest& r) {
  require(r.frequency_hz > 0.0 && std::isfinite(r.frequency_hz), "the frequency of a match must be > 0 and finite");
  require(r.source.z_ohm.real() > 0.0 && network::finite(r.source.z_ohm),
          "the source's impedance must have a real part > 0");
  require(r.swr_limit > 1.0 && std::isfinite(r.swr_limit), "an SWR limit must be > 1");
  const PartStock& s = r.stock;
  require(s.least_inductance_h > 0.0 && s.least_inductance_h < s.most_inductance_h,
          "inductance limits must be > 0 and in order");
  require(s.least_capacitance_f > 0.0 && s.least_capacitance_f < s.most_capacitance_f,
          "capacitance limits must be > 0 and in order");
  network::check_loss(s.inductor_loss, false, "inductor_loss");
  network::check_loss(s.capacitor_loss, true, "capacitor_loss");
  require(s.inductor_self_capacitance_f >= 0.0, "a self-capacitance must be >= 0");
  if (r.form != Form::l && (r.freedom == Freedom::loaded_q || r.freedom == Freedom::end_q)) {
    require(r.freedom_value > 0.0 && std::isfinite(r.freedom_value), "a wanted Q must be > 0");
  }
  if (r.form != Form::l && r.freedom == Freedom::phase) {
    require(std::isfinite(r.freedom_value), "a wanted phase must be finite");
  }
}

double phase_deg(const network::Evaluation& e) { return std::arg(e.load_current_a) * 180.0 / pi + 0.0; }  // + 0: no -0

/// |reactance| / resistance wanted there for a series part at the transmitter's end, |susceptance| / conductance in
/// shunt.
double end_q(const Problem& problem, const network::Element& first) {
  const cdouble z = network::impedance(first.part, problem.request.frequency_hz);
  if (first.place == network::Place::series) return std::abs(z.imag()) / problem.z_target.real();
  return std::abs((1.0 / z).imag()) / (1.0 / problem.z_target).real();
}

std::string part_label(const network::Component& part, std::size_t number) {
  return (std::holds_alternative<network::Inductor>(part) ? "L" : "C") + std::to_string(number);
}

MatchSolution finish(const Problem& problem, network::Ladder ladder) {
  const MatchRequest& r = problem.request;
  MatchSolution solution;
  solution.status = MatchStatus::matched;
  solution.form = r.form;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    ladder.elements[n].label = part_label(ladder.elements[n].part, n + 1);
  }
  solution.evaluation = network::evaluate(ladder, r.source, r.frequency_hz, problem.z_load);
  if (!ladder.elements.empty()) solution.end_q = end_q(problem, ladder.elements.front());
  solution.phase_deg = phase_deg(solution.evaluation);
  solution.bandwidth = swr_bandwidth(ladder, r.source, r.load, r.frequency_hz, r.swr_limit);
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    double worst = 1.0;
    for (const double factor : {0.99, 1.01}) {
      network::Ladder off = ladder;
      off.elements[n].part = network::scaled(off.elements[n].part, factor);
      worst = std::max(worst, network::evaluate(off, r.source, r.frequency_hz, problem.z_load).swr);
    }
    solution.swr_at_one_percent.push_back(worst);
  }
  solution.ladder = std::move(ladder);
  return solution;
}

bool matches(const Problem& problem, const network::Ladder& ladder) {
  const MatchRequest& r = problem.request;
  return std::abs(network::evaluate(ladder, r.source, r.frequency_hz, problem.z_load).reflection) <= matched_reflection;
}

/// Whether some part could as well be left out.
bool redundant(const Problem& problem, const network::Ladder& ladder) {
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    network::Ladder rest = ladder;
    rest.elements.erase(rest.elements.begin() + static_cast<std::ptrdiff_t>(n));
    if (matches(problem, rest)) return true;
  }
  return false;
}

/// Nothing at all, one part, or two parts.
void solve_l(const Problem& problem, std::vector<MatchSolution>& found) {
  const MatchRequest& r = problem.request;
  const auto take = [&](network::Ladder ladder) {
    if (!redundant(problem, ladder)) found.push_back(finish(problem, std::move(ladder)));
  };
  if (matches(problem, {})) take({});
  for (const auto& places : {std::array{network::Place::series, network::Place::shunt},
                             std::array{network::Place::shunt, network::Place::series}}) {
    for (const PartKind first : kinds) {
      const auto a = detail::unknown_part(first, places[0], r.stock, r.frequency_hz);
      if (const auto t = detail::solve_part(a, problem.z_target, problem.z_load)) {
        network::Ladder alone{{detail::make_element(a, *t, r.stock, r.frequency_hz)}};
        if (matches(problem, alone)) take(std::move(alone));
      }
      for (const PartKind second : kinds) {
        const auto b = detail::unknown_part(second, places[1], r.stock, r.frequency_hz);
        for (const auto& root : detail::solve_section(a, b, problem.z_target, problem.z_load)) {
          if (!root) continue;
          take({{detail::make_element(a, root->transmitter_side_ohm, r.stock, r.frequency_hz),
                 detail::make_element(b, root->load_side_ohm, r.stock, r.frequency_hz)}});
        }
      }
    }
  }
}

/// Smallest and largest reactance that the stock offers.
std::array<double, 2> reactance_limits(const PartStock& stock, PartKind kind, double frequency_hz) {
  const double w = two_pi * frequency_hz;
  if (kind == PartKind::inductor) return {w * stock.least_inductance_h, w * stock.most_inductance_h};
  return {1.0 / (w * stock.most_capacitance_f), 1.0 / (w * stock.least_capacitance_f)};
}

/// One kind of pi or T: three parts, one branch of the section's two roots. Its members are counted by the logarithm
/// of the reactance at one end. Where the part at an end does next to nothing, a whole family shrinks to a point as
/// counted from the other end; so both countings are used.
struct Family {
  const Problem& problem;
  std::array<detail::UnknownPart, 3> parts;
  std::size_t branch;
  bool by_load_end;

  const detail::UnknownPart& end() const { return by_load_end ? parts[2] : parts[0]; }

  std::optional<std::array<double, 3>> reactances(double log_t) const {
    const double t = std::exp(log_t);
    if (by_load_end) {
      const auto root = detail::solve_section(parts[0], parts[1], problem.z_target,
                                              detail::through(parts[2], t, problem.z_load))[branch];
      if (!root) return {};
      return std::array{root->transmitter_side_ohm, root->load_side_ohm, t};
    }
    const cdouble rest = detail::behind(parts[0], t, problem.z_target);
    if (!network::finite(rest) || rest.real() <= 0.0) return {};
    const auto root = detail::solve_section(parts[1], parts[2], rest, problem.z_load)[branch];
    if (!root) return {};
    return std::array{t, root->transmitter_side_ohm, root->load_side_ohm};
  }

  bool in_stock(const std::array<double, 3>& t) const {
    for (std::size_t n = 0; n < 3; ++n) {
      const auto [low, high] = reactance_limits(problem.request.stock, parts[n].kind, problem.request.frequency_hz);
      if (t[n] < low * (1.0 - 1e-9) || t[n] > high * (1.0 + 1e-9)) return false;
    }
    return true;
  }

  bool at_limit(const std::array<double, 3>& t) const {
    for (std::size_t n = 0; n < 3; ++n) {
      const auto [low, high] = reactance_limits(problem.request.stock, parts[n].kind, problem.request.frequency_hz);
      if (t[n] < low * 1.001 || t[n] > high * 0.999) return true;
    }
    return false;
  }

  network::Ladder ladder(const std::array<double, 3>& t) const {
    network::Ladder built;
    built.elements.reserve(3);
    for (std::size_t n = 0; n < 3; ++n) {
      built.elements.push_back(
          detail::make_element(parts[n], t[n], problem.request.stock, problem.request.frequency_hz));
    }
    return built;
  }

  /// What the free choice is about, at a member; nan outside the family or the stock.
  double measure(double log_t, const auto& of) const {
    const auto t = reactances(log_t);
    if (!t || !in_stock(*t)) return std::nan("");
    return of(network::evaluate(ladder(*t), problem.request.source, problem.request.frequency_hz, problem.z_load));
  }
};

/// Adds a member unless it is there already, found by the other counting.
void add(const Family& family, const std::array<double, 3>& t, MatchStatus status, std::vector<MatchSolution>& found) {
  network::Ladder ladder = family.ladder(t);
  for (const MatchSolution& s : found) {
    bool same = true;
    for (std::size_t n = 0; n < 3; ++n) {
      const network::Component& part = s.ladder.elements[n].part;
      same = same && part.index() == ladder.elements[n].part.index() &&
             std::abs(network::value_si(part) / network::value_si(ladder.elements[n].part) - 1.0) < 1e-4;
    }
    if (same) return;
  }
  found.push_back(finish(family.problem, std::move(ladder)));
  found.back().status = status;
}

/// Least loss; what is left equal, as everything is without losses, is decided by the lower loaded Q.
void least_loss(const Family& family, double low, double high, std::vector<MatchSolution>& found) {
  constexpr double db_per_q = 1e-9;
  const Minimum best = find_minimum(
      [&](double x) {
        const double loss = family.measure(
            x, [](const network::Evaluation& e) { return e.loss.dissipation_db + db_per_q * e.loaded_q; });
        return std::isnan(loss) ? network::infinite : loss;
      },
      low, high, scan_steps);
  if (!std::isfinite(best.value)) return;
  const auto t = *family.reactances(best.x);
  add(family, t, family.at_limit(t) ? MatchStatus::at_limit : MatchStatus::matched, found);
}

/// Members at which `error` is zero; it may jump (an angle that wraps), which is no root. Where it stays under
/// `resolution` it does not depend on the choice (loaded Q of parts of one kind) and chooses nothing.
void zeros(const Family& family, double low, double high, double resolution, const auto& error,
           std::vector<MatchSolution>& found) {
  const auto value = [&](double x) { return family.measure(x, error); };
  const auto take = [&](double x0, double y0, double x1, double y1) {
    if ((y0 != 0.0 && !(y0 * y1 < 0.0)) || std::max(std::abs(y0), std::abs(y1)) < resolution) return;
    const Root root = find_root(value, x0, x1);
    if (root.status == RootStatus::found) add(family, *family.reactances(root.x), MatchStatus::matched, found);
  };
  double x0 = low, y0 = value(low);
  for (int step = 1; step <= scan_steps; ++step) {
    const double x1 = low + (high - low) * step / scan_steps, y1 = value(x1);
    if (std::isnan(y0) == std::isnan(y1)) {
      take(x0, y0, x1, y1);  // nothing when both are nan
    } else {
      // The family begins or ends inside this step: a root may lie between its end and the sample.
      double inside = std::isnan(y0) ? x1 : x0, outside = std::isnan(y0) ? x0 : x1;
      for (int halving = 0; halving < 50; ++halving) {
        const double middle = 0.5 * (inside + outside);
        (std::isnan(value(middle)) ? outside : inside) = middle;
      }
      if (std::isnan(y0)) {
        if (inside < x1) take(inside, value(inside), x1, y1);
      } else if (inside > x0) {
        take(x0, y0, inside, value(inside));
      }
    }
    x0 = x1, y0 = y1;
  }
}

void solve_family(const Family& family, std::vector<MatchSolution>& found) {
  const Problem& problem = family.problem;
  const MatchRequest& r = problem.request;
  const auto [t_low, t_high] = reactance_limits(r.stock, family.end().kind, r.frequency_hz);
  const double low = std::log(t_low), high = std::log(t_high);
  switch (r.freedom) {
  case Freedom::least_loss:
    least_loss(family, low, high, found);
    break;
  case Freedom::loaded_q:
    zeros(
        family, low, high, 1e-9 * r.freedom_value,
        [&](const network::Evaluation& e) { return e.loaded_q - r.freedom_value; }, found);
    break;
  case Freedom::phase:
    zeros(
        family, low, high, 1e-9,
        [&](const network::Evaluation& e) {  // wrapped to +-180 degrees: continuous at the root
          return std::remainder(phase_deg(e) - r.freedom_value, 360.0);
        },
        found);
    break;
  case Freedom::end_q: {
    if (family.by_load_end) break;  // the transmitter's end is given: nothing to search
    const double wanted =
        family.parts[0].place == network::Place::series ? problem.z_target.real() : (1.0 / problem.z_target).real();
    for (const double t : detail::reactances_of_size(family.parts[0], r.freedom_value * wanted)) {
      const auto reactances = family.reactances(std::log(t));
      if (reactances && family.in_stock(*reactances)) add(family, *reactances, MatchStatus::matched, found);
    }
    break;
  }
  }
}

void solve_three(const Problem& problem, std::vector<MatchSolution>& found) {
  const MatchRequest& r = problem.request;
  const std::array places = r.form == Form::pi_network
                                ? std::array{network::Place::shunt, network::Place::series, network::Place::shunt}
                                : std::array{network::Place::series, network::Place::shunt, network::Place::series};
  for (const PartKind a : kinds) {
    for (const PartKind b : kinds) {
      for (const PartKind c : kinds) {
        for (const std::size_t branch : {std::size_t{0}, std::size_t{1}}) {
          for (const bool by_load_end : {false, true}) {
            solve_family({problem,
                          {detail::unknown_part(a, places[0], r.stock, r.frequency_hz),
                           detail::unknown_part(b, places[1], r.stock, r.frequency_hz),
                           detail::unknown_part(c, places[2], r.stock, r.frequency_hz)},
                          branch,
                          by_load_end},
                         found);
          }
        }
      }
    }
  }
}

/// Loss, then loaded Q, then inductance; the first two to a billionth, so that rounding does not decide.
std::tuple<double, double, double> rank(const MatchSolution& solution) {
  double inductance_h = 0.0;
  for (const network::Element& element : solution.ladder.elements) {
    if (const auto* coil = std::get_if<network::Inductor>(&element.part)) inductance_h += coil->inductance_h;
  }
  return {std::round(1e9 * solution.evaluation.loss.dissipation_db), std::round(1e9 * solution.evaluation.loaded_q),
          inductance_h};
}

}  // namespace

std::vector<MatchSolution> solve_match(const MatchRequest& request) {
  check(request);
  const Problem problem{request, std::conj(request.source.z_ohm),
                        load::load_impedance(request.load, request.frequency_hz)};
  std::vector<MatchSolution> found;
  if (problem.z_load.real() <= 0.0) return found;  // nothing can be delivered to a pure reactance
  if (request.form == Form::l) {
    solve_l(problem, found);
  } else {
    solve_three(problem, found);
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const MatchSolution& a, const MatchSolution& b) { return rank(a) < rank(b); });
  return found;
}

Bandwidth swr_bandwidth(const network::Ladder& ladder, const network::Source& source, const load::Load& load,
                        double frequency_hz, double swr_limit) {
  require(swr_limit > 1.0, "an SWR limit must be > 1");
  const auto excess = [&](double f) {
    return network::evaluate(ladder, source, f, load::load_impedance(load, f)).swr - swr_limit;
  };
  const auto defined = [&](double f) {
    try {
      excess(f);
      return true;
    } catch (const DomainError&) {
      return false;
    }
  };
  Bandwidth band{frequency_hz, frequency_hz, false, false};
  if (excess(frequency_hz) > 0.0) return band;
  Range data_hz{0.0, network::infinite};
  for (const Range& range_hz : load::load_ranges(load)) {
    // A load takes a frequency as close as this to a sample for that sample.
    if (range_hz.low <= frequency_hz * (1.0 + 1e-12) && frequency_hz * (1.0 - 1e-12) <= range_hz.high) {
      data_hz = {std::min(range_hz.low, frequency_hz), std::max(range_hz.high, frequency_hz)};
    }
  }
  // Steps that grow away from the centre find the first crossing; the bracket is then closed.
  const auto edge = [&](double direction, double limit_hz, bool& data_edge) {
    double inside = frequency_hz;
    for (double step = 1e-4; step < 2.0; step *= 1.2) {
      double f = direction > 0.0 ? frequency_hz * (1.0 + step * 2.0) : frequency_hz / (1.0 + step * 2.0);
      data_edge = direction > 0.0 ? f >= limit_hz : f <= limit_hz;
      if (data_edge) f = limit_hz;
      if (!defined(f)) {  // a part's model ends in this step
        data_edge = true;
        double known = inside;
        for (int halving = 0; halving < 50; ++halving) {
          const double middle = 0.5 * (known + f);
          (defined(middle) ? known : f) = middle;
        }
        f = known;
      }
      const double y = excess(f);
      if (y > 0.0) {
        data_edge = false;
        const auto finite_excess = [&](double x) { return std::min(excess(x), 1e6); };
        const Root root = direction > 0.0 ? find_root(finite_excess, inside, f) : find_root(finite_excess, f, inside);
        if (root.status != RootStatus::found)
          throw Error(fmt::format("no edge of the band found between {} Hz and {} Hz", inside, f));
        return root.x;
      }
      inside = f;
      if (data_edge) break;
    }
    return inside;
  };
  band.low_hz = edge(-1.0, data_hz.low, band.low_is_data_edge);
  band.high_hz = edge(1.0, data_hz.high, band.high_is_data_edge);
  return band;
}

std::string describe(const network::Ladder& ladder) {
  std::string text;
  for (const network::Element& element : ladder.elements) {
    if (!text.empty()) text += ", ";
    if (element.place != network::Place::cascade)
      text += network::place_name(element.place) + " " + network::kind_name(element.part) + " ";
    text += network::value_text(element.part);
  }
  return text.empty() ? "straight through" : text;
}

}  // namespace stile::match
