#include <stile/design/detail/antennas.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <initializer_list>
#include <set>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::design::detail {
namespace {

using station::AntennaChoice;
using station::Band;
using station::LengthChoice;

constexpr double joined_ratio = 1.02;          // of samples of one band, as station loads have it
constexpr double narrow = 0.008, wide = 0.02;  // of a band's part in use: two samples below, five above
constexpr double reflection_ohm = 300.0;       // near what thin wires at a few metres are as a line
constexpr std::size_t most_points = 6;         // of a polynomial
constexpr double few_points_m = 1.5;           // limits that are closer have points of their own
constexpr double close_m = 0.2 * grid_m;       // points that are closer would make much of little

/// Frequencies at which the search solves a band.
std::vector<double> samples_hz(const Band& band) {
  const double low = band.use_low_hz, high = band.use_high_hz, width = (high - low) / low;
  const int count = width == 0.0 ? 1 : width < narrow ? 2 : width < wide ? 3 : 5;
  std::vector<double> all{low};
  for (int n = 1; n < count; ++n) all.push_back(n + 1 == count ? high : low + (high - low) * n / (count - 1));
  return all;
}

std::vector<double> samples_hz(const std::vector<Band>& bands) {
  std::vector<double> all;
  for (const Band& band : bands) {
    for (const double f : samples_hz(band)) all.push_back(f);
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

AntennaSamples samples(const std::string& condition, const std::vector<wire::AntennaSolution>& solutions,
                       const std::vector<Band>& bands) {
  AntennaSamples all{condition, {}, {}, {}};
  for (const wire::AntennaSolution& s : solutions) {
    if (!(s.feed_ohm.real() >= 0.0)) throw DomainError("a load without resistance");
    all.z_ohm.push_back(s.feed_ohm);
    all.shares.push_back(
        {s.share.radiated, s.share.metal + s.share.coil, s.share.ground, s.share.person, s.share.lump});
    const auto band = std::find_if(bands.begin(), bands.end(), [&](const Band& b) {
      return b.use_low_hz <= s.frequency_hz && s.frequency_hz <= b.use_high_hz;
    });
    all.path_gain.push_back(0.0);
    if (!band->path) continue;
    all.path_gain.back() =
        wire::mean_gain(s, band->path->elevation_deg.low * pi / 180.0, band->path->elevation_deg.high * pi / 180.0);
  }
  return all;
}

/// The same, where neighbours are close enough to be solved with one mesh (see sweep_antenna).
std::vector<std::vector<double>> stretches_hz(const std::vector<double>& frequencies_hz) {
  std::vector<std::vector<double>> all;
  for (const double f : frequencies_hz) {
    if (all.empty() || f > wire::stretch_ratio * all.back().back()) all.emplace_back();
    all.back().push_back(f);
  }
  return all;
}

/// Puts a part at further frequencies behind it.
void append(SolvedAntenna& all, SolvedAntenna part) {
  if (all.empty()) {
    all = std::move(part);
    return;
  }
  for (std::size_t c = 0; c < all.size(); ++c) {
    all[c].z_ohm.insert(all[c].z_ohm.end(), part[c].z_ohm.begin(), part[c].z_ohm.end());
    all[c].shares.insert(all[c].shares.end(), part[c].shares.begin(), part[c].shares.end());
    all[c].path_gain.insert(all[c].path_gain.end(), part[c].path_gain.begin(), part[c].path_gain.end());
  }
}

/// Lengths between which is interpolated.
std::vector<double> points(const LengthChoice& choice, double most_m) {
  const double low = choice.range_m.low, high = std::min(choice.range_m.high, most_m);
  if (choice.step_m || !(low < high)) return {};
  if (high - low < few_points_m) {
    const int count = 3 + static_cast<int>((high - low) / grid_m);
    std::vector<double> even;
    for (int n = 0; n < count; ++n) even.push_back(n + 1 == count ? high : low + (high - low) * n / (count - 1));
    return even;
  }
  std::vector<double> all = grid(choice, most_m);
  if (all[1] - all[0] < close_m) all.erase(all.begin() + 1);
  if (all.back() - all[all.size() - 2] < close_m) all.erase(all.end() - 2);
  return all;
}

/// From which length on a trailing wire lies on the ground in every condition: all curves have a kink there. 0: none
/// ever lies.
double touching_m(const station::Brief& brief) {
  double most_m = 0.0;
  try {
    const AntennaChoice longest{brief.whip.range_m.high, {brief.wire.range_m.high}, 0};
    for (const wire::WireCase& wires : station::wire_cases(brief, longest)) {
      for (const wire::Wire& w : wires.antenna.wires) {
        if (w.name != "wire" || w.points.size() < 3) continue;
        const wire::Vec3 &base = w.points[0], &touch = w.points[1];
        most_m = std::max(most_m, std::hypot(touch.x_m - base.x_m, touch.y_m - base.y_m, touch.z_m - base.z_m));
      }
    }
  } catch (const Error&) {
    return 0.0;  // what cannot be is told where it is solved
  }
  return most_m;
}

/// A length and what a sample there counts.
struct Weight {
  double length_m = 0.0, weight = 1.0;
};

/// Lagrange's polynomial through the points next to a length.
std::vector<Weight> weights(const std::vector<double>& points_m, double length_m) {
  if (points_m.empty()) return {{length_m, 1.0}};
  const auto above = std::lower_bound(points_m.begin(), points_m.end(), length_m);
  const std::size_t at = static_cast<std::size_t>(above - points_m.begin());
  if (above != points_m.end() && *above == length_m) return {{length_m, 1.0}};
  const std::size_t count = std::min(most_points, points_m.size());
  const std::size_t first = std::min(at > count / 2 ? at - count / 2 : 0, points_m.size() - count);
  std::vector<Weight> all;
  for (std::size_t k = first; k < first + count; ++k) {
    double weight = 1.0;
    for (std::size_t j = first; j < first + count; ++j) {
      if (j != k) weight *= (length_m - points_m[j]) / (points_m[k] - points_m[j]);
    }
    all.push_back({points_m[k], weight});
  }
  return all;
}

double rounded_um(double length_m) { return std::round(length_m * 1e6) / 1e6; }

cdouble reflection(cdouble z_ohm) { return (z_ohm - reflection_ohm) / (z_ohm + reflection_ohm); }

}  // namespace

AntennaChoice in_order(AntennaChoice antenna) {
  std::sort(antenna.wires_m.begin(), antenna.wires_m.end(), std::greater<>());
  return antenna;
}

double& length_of(AntennaChoice& antenna, std::size_t n) { return n == 0 ? antenna.whip_m : antenna.wires_m[n - 1]; }
double length_of(const AntennaChoice& antenna, std::size_t n) {
  return n == 0 ? antenna.whip_m : antenna.wires_m[n - 1];
}

std::vector<double> grid(const LengthChoice& choice, double most_m) {
  const double low = choice.range_m.low, high = std::max(low, std::min(choice.range_m.high, most_m));
  std::vector<double> all{low};
  if (choice.step_m) {
    for (int n = 1; low + n * *choice.step_m <= high * (1.0 + 1e-9); ++n)
      all.push_back(std::round((low + n * *choice.step_m) * 1e6) / 1e6);
    return all;
  }
  for (double n = std::floor(low / grid_m) + 1.0; n * grid_m < high * (1.0 - 1e-9); n += 1.0) all.push_back(n * grid_m);
  if (high > low) all.push_back(high);
  return all;
}

Antennas::Antennas(station::Brief brief, std::vector<Band> bands)
    : brief_(std::move(brief)), bands_(std::move(bands)), frequencies_hz_(samples_hz(bands_)),
      stretches_hz_(stretches_hz(frequencies_hz_)), tables_(std::make_shared<wire::GroundTables>()),
      known_(std::make_shared<wire::KnownCouplings>()) {
  whips_m_ = points(brief_.whip, station::longest_whip_m(brief_));
  if (brief_.most_wires == 0) return;
  wires_m_ = points(brief_.wire, HUGE_VAL);
  touching_m_ = touching_m(brief_);
  const auto lying = std::lower_bound(wires_m_.begin(), wires_m_.end(), touching_m_);
  constexpr std::ptrdiff_t least_points = 3;
  if (wires_m_.end() - lying < least_points)
    touching_m_ = HUGE_VAL;  // none is interpolated
  else
    wires_m_.erase(wires_m_.begin(), lying);
}

wire::SolveOptions Antennas::solving() const {
  wire::SolveOptions options;
  options.tables = tables_;
  options.known = known_;
  return options;
}

SolvedAntenna Antennas::solve(const std::vector<wire::WireCase>& cases,
                              const std::vector<double>& frequencies_hz) const {
  wire::SolveOptions each = solving();
  each.every_point = true;
  const std::vector<std::vector<wire::AntennaSolution>> all = wire::sweep_cases(cases, frequencies_hz, each, 1);
  SolvedAntenna solved;
  for (std::size_t c = 0; c < cases.size(); ++c) solved.push_back(samples(cases[c].name, all[c], bands_));
  return solved;
}

SolvedAntenna Antennas::solve(const AntennaChoice& antenna) const {
  try {
    const std::vector<wire::WireCase> cases = station::wire_cases(brief_, antenna);
    SolvedAntenna all;
    for (const std::vector<double>& stretch_hz : stretches_hz_) append(all, solve(cases, stretch_hz));
    return all;
  } catch (const Error&) {
    return {};  // a geometry that cannot be, or a load without resistance
  }
}

void Antennas::solve_all(const std::vector<AntennaChoice>& antennas, unsigned threads) const {
  struct Wanted {
    AntennaChoice antenna;
    std::vector<wire::WireCase> cases;
    std::vector<SolvedAntenna> parts;  // by stretch; empty: it cannot be
  };
  std::vector<Wanted> wanted;
  std::set<AntennaChoice> asked;
  for (const AntennaChoice& antenna : antennas) {
    {
      const std::lock_guard<std::mutex> lock(asking_);
      if (kept_.count(antenna) != 0 || !asked.insert(antenna).second) continue;
    }
    try {
      wanted.push_back(
          {antenna, station::wire_cases(brief_, antenna), std::vector<SolvedAntenna>(stretches_hz_.size())});
    } catch (const Error&) {
      keep(antenna, [] { return SolvedAntenna{}; });
    }
  }
  in_blocks(stretches_hz_.size() * wanted.size(), 1, threads, [&](std::size_t n, std::size_t) {
    Wanted& one = wanted[n % wanted.size()];
    const std::size_t stretch = stretches_hz_.size() - 1 - n / wanted.size();  // the most work first
    try {
      one.parts[stretch] = solve(one.cases, stretches_hz_[stretch]);
    } catch (const Error&) {
      return;  // see the other solve
    }
  });
  for (Wanted& one : wanted) {
    keep(one.antenna, [&] {
      SolvedAntenna all;
      for (SolvedAntenna& part : one.parts) {
        if (part.empty()) return SolvedAntenna{};
        append(all, std::move(part));
      }
      return all;
    });
  }
}

const SolvedAntenna& Antennas::keep(const AntennaChoice& antenna, const std::function<SolvedAntenna()>& solved) const {
  std::shared_ptr<Kept> place;
  {
    const std::lock_guard<std::mutex> lock(asking_);
    std::shared_ptr<Kept>& there = kept_[antenna];
    if (!there) there = std::make_shared<Kept>();
    place = there;
  }
  std::call_once(place->once, [&] {
    place->solved = solved();
    const std::lock_guard<std::mutex> lock(asking_);
    count_ += place->solved.empty() ? 0U : 1U;
  });
  return place->solved;
}

const SolvedAntenna& Antennas::kept(const AntennaChoice& antenna) const {
  return keep(antenna, [&] { return solve(antenna); });
}

std::vector<load::Load> Antennas::loads(const SolvedAntenna& samples) const {
  const bool path = std::any_of(bands_.begin(), bands_.end(), [](const Band& b) { return b.path.has_value(); });
  std::vector<load::Load> all;
  for (const AntennaSamples& s : samples) {
    load::SampledLoad sampled = load::make_sampled_load(frequencies_hz_, s.z_ohm, s.shares, joined_ratio);
    if (path) sampled.path_gain = s.path_gain;
    all.push_back({s.condition, "", std::move(sampled), {}});
  }
  return all;
}

std::vector<load::Load> Antennas::solved(const AntennaChoice& antenna) const { return loads(kept(antenna)); }

bool Antennas::many_lengths(const AntennaChoice& antenna) const {
  return (whips_m_.empty() ? 0U : 1U) + (wires_m_.empty() ? 0U : antenna.wires_m.size()) > 2;
}

std::optional<SolvedAntenna> Antennas::sum_of(const std::map<AntennaChoice, double>& weights) const {
  std::vector<AntennaChoice> asked;
  for (const auto& [choice, weight] : weights) {
    if (weight != 0.0) asked.push_back(choice);
  }
  solve_all(asked, 1);
  SolvedAntenna sum;
  for (const AntennaChoice& choice : asked) {
    const double weight = weights.at(choice);
    const SolvedAntenna& there = kept(choice);
    if (there.empty()) return std::nullopt;
    if (sum.empty()) {
      for (const AntennaSamples& s : there)
        sum.push_back({s.condition, std::vector<cdouble>(s.z_ohm.size()),
                       std::vector(s.shares.size(), load::PowerShares{}), std::vector(s.path_gain.size(), 0.0)});
    }
    for (std::size_t c = 0; c < sum.size(); ++c) {
      for (std::size_t k = 0; k < frequencies_hz_.size(); ++k) {
        const load::PowerShares& s = there[c].shares[k];
        load::PowerShares& into = sum[c].shares[k];
        sum[c].z_ohm[k] += weight * reflection(there[c].z_ohm[k]);
        into.radiated += weight * s.radiated, into.metal += weight * s.metal, into.ground += weight * s.ground;
        into.person += weight * s.person, into.lumps += weight * s.lumps;
        sum[c].path_gain[k] += weight * there[c].path_gain[k];
      }
    }
  }
  return sum;
}

std::optional<SolvedAntenna> Antennas::between(const AntennaChoice& antenna) const {
  const auto beyond = [](const std::vector<double>& points_m, double length_m) {
    return !points_m.empty() && (length_m < points_m.front() || length_m > points_m.back());
  };
  if (beyond(whips_m_, antenna.whip_m)) return std::nullopt;
  for (const double length_m : antenna.wires_m) {
    if (!wires_m_.empty() && (beyond(wires_m_, length_m) || length_m < touching_m_)) return std::nullopt;
  }
  std::vector<std::pair<AntennaChoice, double>> around{{antenna, 1.0}};
  const auto along = [&](const std::vector<double>& points_m, double length_m, const auto& set) {
    std::vector<std::pair<AntennaChoice, double>> more;
    for (const Weight& w : weights(points_m, length_m)) {
      for (const auto& [choice, weight] : around) {
        AntennaChoice there = choice;
        set(there, w.length_m);
        more.emplace_back(std::move(there), weight * w.weight);
      }
    }
    around = std::move(more);
  };
  along(whips_m_, antenna.whip_m, [](AntennaChoice& a, double length_m) { a.whip_m = length_m; });
  for (std::size_t n = 0; n < antenna.wires_m.size(); ++n)
    along(wires_m_, antenna.wires_m[n], [n](AntennaChoice& a, double length_m) { a.wires_m[n] = length_m; });
  if (around.size() == 1) return std::nullopt;
  std::map<AntennaChoice, double> all;
  for (const auto& [choice, weight] : around) all[in_order(choice)] += weight;
  return sum_of(all);
}

std::optional<SolvedAntenna> Antennas::about(const AntennaChoice& antenna, const AntennaChoice& centre) const {
  struct Move {
    std::size_t length;
    double to_m, one_m, other_m;  // away from the centre: where it is asked, the two through which the quadratic goes
  };
  std::vector<Move> moves;
  for (std::size_t n = 0; n <= antenna.wires_m.size(); ++n) {
    const double at_m = length_of(centre, n), away_m = length_of(antenna, n) - at_m;
    if (away_m == 0.0) continue;
    if ((n == 0 ? whips_m_ : wires_m_).empty()) return std::nullopt;
    const LengthChoice& choice = n == 0 ? brief_.whip : brief_.wire;
    const double low_m = choice.range_m.low, high_m = n == 0 ? whips_m_.back() : choice.range_m.high;
    const double step_m = std::min(quadratic_step_m, 0.5 * (high_m - low_m));
    if (at_m + step_m > high_m)
      moves.push_back({n, away_m, -step_m, -2.0 * step_m});
    else if (at_m - step_m < low_m)
      moves.push_back({n, away_m, step_m, 2.0 * step_m});
    else
      moves.push_back({n, away_m, step_m, -step_m});
  }
  const bool bundled = centre.wires_m.size() > 1 && brief_.layouts[centre.layout] == "bundle";
  std::map<AntennaChoice, double> all{{centre, 1.0}};
  const auto add = [&](double weight, std::initializer_list<std::pair<std::size_t, double>> changes) {
    AntennaChoice there = centre;
    for (const auto& [length, by_m] : changes) length_of(there, length) = rounded_um(length_of(there, length) + by_m);
    // In a bundle it hardly matters which wire is the longer one, and fewer antennas need to be solved.
    all[bundled ? in_order(there) : there] += weight;
  };
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const Move& a = moves[i];
    const double one = a.to_m * (a.to_m - a.other_m) / (a.one_m * (a.one_m - a.other_m));
    const double other = a.to_m * (a.to_m - a.one_m) / (a.other_m * (a.other_m - a.one_m));
    add(one, {{a.length, a.one_m}});
    add(other, {{a.length, a.other_m}});
    add(-one - other, {});
    for (std::size_t k = 0; k < i; ++k) {
      const Move& b = moves[k];
      const double both = a.to_m * b.to_m / (a.one_m * b.one_m);
      add(both, {{a.length, a.one_m}, {b.length, b.one_m}});
      add(-both, {{a.length, a.one_m}});
      add(-both, {{b.length, b.one_m}});
      add(both, {});
    }
  }
  return sum_of(all);
}

std::vector<load::Load> Antennas::interpolated(const AntennaChoice& antenna,
                                               const std::optional<AntennaChoice>& near) const {
  std::optional<SolvedAntenna> found;
  if (many_lengths(antenna)) {
    if (near) found = about(antenna, *near);
  } else {
    found = between(antenna);
    if (found && near) correct(*found, antenna, *near);
  }
  if (!found) return solved(antenna);
  SolvedAntenna& sum = *found;
  for (AntennaSamples& s : sum) {
    for (std::size_t k = 0; k < frequencies_hz_.size(); ++k) {
      s.z_ohm[k] = reflection_ohm * (1.0 + s.z_ohm[k]) / (1.0 - s.z_ohm[k]);
      if (!(s.z_ohm[k].real() > 0.0)) return solved(antenna);
      load::PowerShares& share = s.shares[k];
      double all = 0.0;
      for (double* part : {&share.radiated, &share.metal, &share.ground, &share.person, &share.lumps})
        all += * part = std::max(0.0, *part);
      for (double* part : {&share.radiated, &share.metal, &share.ground, &share.person, &share.lumps}) *part /= all;
      s.path_gain[k] = std::max(0.0, s.path_gain[k]);
    }
  }
  return loads(sum);
}

/// Takes off what interpolation is off by at a place, less with distance from it, nothing beyond the grid's.
void Antennas::correct(SolvedAntenna& sum, const AntennaChoice& antenna, const AntennaChoice& at) const {
  double apart_m = std::abs(antenna.whip_m - at.whip_m);
  for (std::size_t n = 0; n < at.wires_m.size(); ++n)
    apart_m = std::max(apart_m, std::abs(antenna.wires_m[n] - at.wires_m[n]));
  const double share = 1.0 - apart_m / grid_m;
  if (!(share > 0.0)) return;
  const std::optional<SolvedAntenna> there = between(at);
  const SolvedAntenna& solved = kept(at);
  if (!there || solved.empty()) return;
  for (std::size_t c = 0; c < sum.size(); ++c) {
    for (std::size_t k = 0; k < frequencies_hz_.size(); ++k) {
      const load::PowerShares &is = solved[c].shares[k], &was = (*there)[c].shares[k];
      load::PowerShares& into = sum[c].shares[k];
      sum[c].z_ohm[k] += share * (reflection(solved[c].z_ohm[k]) - (*there)[c].z_ohm[k]);
      into.radiated += share * (is.radiated - was.radiated), into.metal += share * (is.metal - was.metal);
      into.ground += share * (is.ground - was.ground), into.person += share * (is.person - was.person);
      into.lumps += share * (is.lumps - was.lumps);
      sum[c].path_gain[k] += share * (solved[c].path_gain[k] - (*there)[c].path_gain[k]);
    }
  }
}

std::size_t Antennas::antennas() const {
  const std::lock_guard<std::mutex> lock(asking_);
  return count_;
}

std::size_t Antennas::solves() const { return antennas() * brief_.conditions.size() * frequencies_hz_.size(); }

}  // namespace stile::design::detail
