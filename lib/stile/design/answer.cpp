#include <stile/design/answer.hpp>

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/quantity.hpp>
#include <stile/design/detail/scoring.hpp>
#include <stile/wire/closed_forms.hpp>

namespace stile::design {
namespace {

using detail::Ask;
using detail::Score;
using detail::Scoring;
using station::AntennaChoice;

constexpr double gain_step = 1.25, most_gain_db = 20.0;
constexpr std::size_t most_scanned = 16;
constexpr double scan_step_m = 0.25;
constexpr double same_m = 1e-9;

/// Length number n of an antenna: whip, then wires.
double& length_of(AntennaChoice& a, std::size_t n) { return n == 0 ? a.whip_m : a.wires_m[n - 1]; }

std::string length_name(const AntennaChoice& a, std::size_t n) {
  return n == 0 ? "whip length" : a.wires_m.size() == 1 ? "wire length" : fmt::format("length of wire {}", n);
}

AntennaChoice in_order(AntennaChoice a) {
  std::sort(a.wires_m.begin(), a.wires_m.end(), std::greater<>());
  return a;
}

/// The first, the last, and evenly what lies between, at most so many (>= 2).
template <class Value>
std::vector<Value> thinned(std::vector<Value> all, std::size_t most) {
  if (all.size() <= most) return all;
  std::vector<Value> few;
  for (std::size_t n = 0; n < most; ++n) few.push_back(all[n * (all.size() - 1) / (most - 1)]);
  return few;
}

/// Lengths that may be chosen: the stated steps, evenly thinned where they are many, and any where none are stated,
/// evenly.
std::vector<double> lengths_of(const station::LengthChoice& choice, double most_m, std::size_t most) {
  const double low = choice.range_m.low, high = std::max(low, std::min(choice.range_m.high, most_m));
  if (!(high > low)) return {low};
  if (choice.step_m) return thinned(detail::grid(choice, most_m), most);
  const double count = std::min(static_cast<double>(most) - 1.0, std::max(1.0, std::ceil((high - low) / scan_step_m)));
  std::vector<double> all;
  for (double n = 0.0; n <= count; n += 1.0) all.push_back(low + (high - low) * n / count);
  return all;
}

/// What an error says without where it stands.
std::string without_place(const ParseError& error) {
  const std::string all = error.what(), place = to_string(error.where) + ": ";
  return all.rfind(place, 0) == 0 ? all.substr(place.size()) : all;
}

class Asking {
public:
  Asking(const station::Brief& brief, const Design& design, const AnswerOptions& options)
      : brief_(brief), design_(design), options_(options), search_(search_options(design, options)),
        scoring_(brief, search_, design.antennas), first_(design.stations.front()) {}

  Answer all() {
    Answer a;
    if (brief_.given.bands.size() > 1) a.bands = bands();
    a.wires = wires();
    a.scans = scans();
    a.avoid = avoid(a.scans);
    a.frontiers = frontiers();
    if (!brief_.hand) hand(a);
    a.unfinished = stopped_;
    return a;
  }

  LengthMap map(std::size_t whips, std::size_t wires) {
    LengthMap m;
    const auto even = [](const Range& range_m, double most_m, std::size_t count) {
      const double high = std::max(range_m.low, std::min(range_m.high, most_m));
      if (!(high > range_m.low)) return std::vector<double>{range_m.low};
      std::vector<double> all;
      for (std::size_t n = 0; n < count; ++n)
        all.push_back(range_m.low + (high - range_m.low) * static_cast<double>(n) / static_cast<double>(count - 1));
      return all;
    };
    m.whip_m = even(brief_.whip.range_m, station::longest_whip_m(brief_), whips);
    m.wire_m = even(brief_.wire.range_m, HUGE_VAL, wires);
    std::vector<AntennaChoice> antennas;
    for (const double wire_m : m.wire_m) {
      for (const double whip_m : m.whip_m) {
        antennas.push_back(first_.antenna);
        antennas.back().whip_m = whip_m;
        antennas.back().wires_m.front() = wire_m;
      }
    }
    for (const Score& s : score_all(antennas, "the map of lengths")) {
      m.objective_db.push_back(s.objective_db);
      m.held_bands.push_back(s.held);
    }
    m.best_whip_m = first_.antenna.whip_m;
    m.best_wire_m = first_.antenna.wires_m.front();
    m.best_db = first_.objective_db;
    m.best_held = first_.held_bands;
    m.unfinished = stopped_;
    return m;
  }

private:
  static SearchOptions search_options(const Design& design, const AnswerOptions& options) {
    SearchOptions search;
    search.objective = design.objective;
    search.threads = options.threads;
    search.every_point = options.every_point;
    return search;
  }

  bool held_counts() const { return design_.objective == Objective::held; }

  bool stop() {
    stopped_ = stopped_ || (options_.stop && options_.stop());
    return stopped_;
  }

  void tell(std::size_t done, std::size_t planned, const std::string& text) {
    if (options_.progress) options_.progress({done, planned, text});
  }

  /// The first station's network on other antennas; infinite where stopped before.
  std::vector<Score> score_all(std::vector<AntennaChoice> antennas, const std::string& text) {
    Ask ask;
    const auto place = std::find(scoring_.networks().begin(), scoring_.networks().end(), first_.network);
    ask.only = static_cast<std::size_t>(place - scoring_.networks().begin());
    ask.beyond_limits = true;
    std::vector<Score> scores(antennas.size());
    for (Score& s : scores) s.objective_db = HUGE_VAL;
    constexpr std::size_t batch = 8;
    for (std::size_t from = 0; from < antennas.size() && !stop(); from += batch) {
      tell(from, antennas.size(), text);
      const std::size_t to = std::min(from + batch, antennas.size());
      in_blocks(to - from, 1, options_.threads, [&](std::size_t first, std::size_t last) {
        for (std::size_t k = from + first; k < from + last; ++k)
          scores[k] = scoring_.score(in_order(antennas[k]), ask).scores[*ask.only];
      });
    }
    return scores;
  }

  /// Mean of what is counted and how many bands hold, of all but one.
  template <class Counted, class Holds>
  Score of_others(std::size_t left_out, const Counted& counted_db, const Holds& holds) const {
    Score score{};
    double weight = 0.0;
    for (std::size_t b = 0; b < brief_.weights.size(); ++b) {
      if (b == left_out) continue;
      score.objective_db += brief_.weights[b] * counted_db(b);
      score.held += holds(b) ? 1U : 0U;
      weight += brief_.weights[b];
    }
    score.objective_db /= weight;
    return score;
  }

  std::vector<BandCost> bands() const {
    std::vector<BandCost> all;
    for (std::size_t b = 0; b < brief_.given.bands.size(); ++b) {
      const Score first = of_others(
          b, [&](std::size_t n) { return first_.bands[n].counted_db; },
          [&](std::size_t n) { return first_.bands[n].holds; });
      BandCost cost{brief_.given.bands[b].name, first.objective_db, first.held,
                    first.objective_db,         first.held,         first_.antenna,
                    first_.network_name};
      Score best = first;
      for (const TriedStation& t : design_.tried) {
        if (brief_.networks[t.network].touch != first_.touch) continue;
        const Score score = of_others(
            b, [&](std::size_t n) { return t.counted_db[n]; }, [&](std::size_t n) { return t.holds[n]; });
        if (!detail::better(design_.objective, score, best)) continue;
        best = score;
        cost.antenna = t.antenna;
        cost.network_name = brief_.networks[t.network].name;
      }
      cost.without_db = best.objective_db;
      cost.without_hold = best.held;
      all.push_back(std::move(cost));
    }
    return all;
  }

  std::vector<WireUse> wires() {
    const std::vector<double>& lengths_m = first_.antenna.wires_m;
    std::vector<WireUse> all;
    std::vector<AntennaChoice> antennas{first_.antenna};
    for (std::size_t w = 0; w < lengths_m.size(); ++w) {
      const auto equal = std::count_if(lengths_m.begin(), lengths_m.end(),
                                       [&](double l) { return std::abs(l - lengths_m[w]) < same_m; });
      if (w > 0 && std::abs(lengths_m[w] - lengths_m[w - 1]) < same_m) continue;
      const std::string length = print_quantity(lengths_m[w], Unit::metre);
      WireUse use;
      use.wire = lengths_m.size() == 1 ? "the wire of " + length
                 : equal > 1           ? fmt::format("one of {} wires of {}", equal, length)
                                       : "the wire of " + length;
      all.push_back(std::move(use));
      antennas.push_back(first_.antenna);
      antennas.back().wires_m.erase(antennas.back().wires_m.begin() + static_cast<std::ptrdiff_t>(w));
    }
    const auto extra = [&](std::size_t AntennaChoice::*option, const std::string& what) {
      if (what.empty()) return;
      all.emplace_back();
      all.back().wire = what;
      antennas.push_back(first_.antenna);
      antennas.back().*option = 0;
    };
    const auto named = [](const char* what, const std::string& name) {
      return name.empty() ? "" : fmt::format("the {} \"{}\"", what, name);
    };
    extra(&AntennaChoice::choke, named("choke", first_.choke));
    extra(&AntennaChoice::hat, named("hat", first_.hat));
    extra(&AntennaChoice::loading, named("coil on the whip", first_.loading));
    const std::vector<Score> scores = score_all(antennas, "each wire taken away");
    for (std::size_t k = 0; k < all.size(); ++k) {
      const Score &with = scores.front(), &without = scores[k + 1];
      WireUse& use = all[k];
      use.possible = std::isfinite(with.objective_db) && std::isfinite(without.objective_db);
      if (!use.possible) continue;
      use.lost_db = without.objective_db - with.objective_db;
      for (std::size_t b = 0; b < brief_.given.bands.size(); ++b) {
        use.on_band_db.push_back(without.counted_db[b] - with.counted_db[b]);
        if (held_counts() && with.holds[b] && !without.holds[b]) use.stops.push_back(brief_.given.bands[b].name);
      }
    }
    if (stopped_) all.clear();
    return all;
  }

  /// Whip and longest wire.
  std::vector<LengthScan> scans() {
    std::vector<LengthScan> all;
    for (std::size_t n = 0; n < std::min<std::size_t>(2, 1 + first_.antenna.wires_m.size()); ++n) {
      LengthScan scan;
      scan.what = length_name(first_.antenna, n);
      scan.length_m = n == 0 ? lengths_of(brief_.whip, station::longest_whip_m(brief_), most_scanned)
                             : lengths_of(brief_.wire, HUGE_VAL, most_scanned);
      if (scan.length_m.size() < 2) continue;
      std::vector<AntennaChoice> antennas(scan.length_m.size(), first_.antenna);
      for (std::size_t k = 0; k < antennas.size(); ++k) length_of(antennas[k], n) = scan.length_m[k];
      for (Score& s : score_all(antennas, "along the " + scan.what)) {
        if (s.counted_db.empty()) s.counted_db.assign(brief_.given.bands.size(), HUGE_VAL);
        scan.counted_db.push_back(std::move(s.counted_db));
      }
      if (!stopped_) all.push_back(std::move(scan));
    }
    return all;
  }

  std::vector<Avoid> avoid(const std::vector<LengthScan>& scans) const {
    std::vector<Avoid> all;
    for (const LengthScan& scan : scans) {
      for (std::size_t b = 0; b < brief_.given.bands.size(); ++b) {
        Avoid one{scan.what, brief_.given.bands[b].name, {}, {}};
        double least_db = HUGE_VAL;
        for (const std::vector<double>& at : scan.counted_db) least_db = std::min(least_db, at[b]);
        bool inside = false;
        for (std::size_t k = 0; k < scan.length_m.size(); ++k) {
          const bool loses = !(scan.counted_db[k][b] <= least_db + avoid_db);
          if (loses && !inside) one.loses.push_back({scan.length_m[k], scan.length_m[k]});
          if (loses) one.loses.back().high = scan.length_m[k];
          inside = loses;
        }
        if (scan.what != "whip length") one.half_wave = half_waves(brief_.given.bands[b]);
        if (!one.loses.empty() || !one.half_wave.empty()) all.push_back(std::move(one));
      }
    }
    return all;
  }

  /// Of the first station's longest wire where it lies in the first condition; none where it does not lie.
  std::vector<Range> half_waves(const station::Band& band) const {
    const wire::WireCase lying = station::wire_cases(brief_, first_.antenna).front();
    const auto wire = std::find_if(lying.antenna.wires.begin(), lying.antenna.wires.end(),
                                   [](const wire::Wire& w) { return w.name == "wire" || w.name == "wire 1"; });
    if (wire == lying.antenna.wires.end() || lying.ground.kind != wire::GroundKind::lossy) return {};
    const double height_m = wire->points.back().z_m;
    constexpr double lies_m = 0.3;
    if (!(height_m <= lies_m) || height_m < 2.0 * wire->radius_m) return {};
    const double velocity = wire::velocity_along_ground(lying.ground, height_m, wire->radius_m, band.design_hz);
    return wire::lengths_to_avoid(band.use_low_hz, band.use_high_hz, velocity, brief_.wire.range_m.high);
  }

  struct Candidate {
    AntennaChoice antenna;
    std::size_t network = 0;
    double mass_kg = 0.0;
    Score score;
  };

  /// No worse in loss, by so much, and in bands that hold.
  bool covers(const Score& a, const Score& b, double gain_db) const {
    return a.objective_db <= b.objective_db + gain_db && (!held_counts() || a.held >= b.held);
  }

  /// The lightest first, each heavier one gaining so much or a band more.
  std::vector<Candidate> picked(const std::vector<Candidate>& by_mass, double gain_db) const {
    std::vector<Candidate> kept;
    for (const Candidate& c : by_mass) {
      if (std::none_of(kept.begin(), kept.end(), [&](const Candidate& k) { return covers(k.score, c.score, gain_db); }))
        kept.push_back(c);
    }
    return kept;
  }

  /// Solved exactly, once.
  std::size_t exact(const AntennaChoice& antenna, std::size_t network, std::vector<DesignedStation>& known,
                    const std::string& stem) {
    const auto same = [&](const DesignedStation& s) { return s.antenna == antenna && s.network == network; };
    const auto before = std::find_if(known.begin(), known.end(), same);
    if (before != known.end()) return static_cast<std::size_t>(before - known.begin());
    known.push_back(scoring_.exact(antenna, network, stem));
    return known.size() - 1;
  }

  /// Those that no other beats, by rising cost.
  template <class Cost>
  std::vector<std::size_t> unbeaten(std::vector<std::size_t> of, const std::vector<DesignedStation>& stations,
                                    const Cost& cost) const {
    const auto score = [&](std::size_t n) {
      return Score{held_counts() ? stations[n].held_bands : 0, stations[n].objective_db};
    };
    const auto beats = [&](std::size_t a, std::size_t b) {
      if (cost(stations[a]) > cost(stations[b]) || !covers(score(a), score(b), 0.0)) return false;
      const bool really = cost(stations[a]) < cost(stations[b]) || score(a).objective_db < score(b).objective_db ||
                          score(a).held > score(b).held;
      return really || a < b;  // of equal ones the first
    };
    std::vector<std::size_t> all;
    for (const std::size_t n : of) {
      if (std::none_of(of.begin(), of.end(), [&](std::size_t m) { return m != n && beats(m, n); })) all.push_back(n);
    }
    std::stable_sort(all.begin(), all.end(),
                     [&](std::size_t a, std::size_t b) { return cost(stations[a]) < cost(stations[b]); });
    return all;
  }

  Frontiers frontiers() {
    Frontiers f;
    f.compared = design_.tried.size();
    std::vector<DesignedStation> solved = design_.stations;
    std::vector<std::size_t> mass, hands;
    for (std::size_t n = 0; n < solved.size(); ++n) {
      hands.push_back(n);
      if (solved[n].mass_known) mass.push_back(n);
    }
    // By mass: of those that the search scored.
    std::vector<Candidate> by_mass;
    for (const TriedStation& t : design_.tried) {
      if (t.mass_known) by_mass.push_back({t.antenna, t.network, t.mass_kg, Score{t.held_bands, t.objective_db}});
    }
    std::stable_sort(by_mass.begin(), by_mass.end(), [&](const Candidate& a, const Candidate& b) {
      return a.mass_kg != b.mass_kg ? a.mass_kg < b.mass_kg : detail::better(design_.objective, a.score, b.score);
    });
    f.least_gain_db = frontier_gain_db;
    std::vector<Candidate> few = picked(by_mass, f.least_gain_db);
    const std::size_t all = few.size();
    // One that holds a band more stays whatever it gains: where these are many already, no gain leaves few.
    const std::size_t fewest = picked(by_mass, HUGE_VAL).size();
    while (few.size() > std::max(most_of_a_frontier, fewest) && f.least_gain_db < most_gain_db)
      few = picked(by_mass, f.least_gain_db *= gain_step);
    few = thinned(std::move(few), most_of_a_frontier);
    f.left_out = all - few.size();
    // By hands: of every match that a hand touches the best antenna; one that it does not touch is among the best of
    // the classes.
    std::map<std::size_t, Candidate> by_network;
    for (const TriedStation& t : design_.tried) {
      const Touch touch = brief_.networks[t.network].touch;
      if (touch != Touch::band && touch != Touch::condition) continue;
      Candidate c{t.antenna, t.network, t.mass_kg, Score{t.held_bands, t.objective_db}};
      const auto [place, fresh] = by_network.emplace(t.network, c);
      if (!fresh && detail::better(design_.objective, c.score, place->second.score)) place->second = std::move(c);
    }
    const std::size_t planned = few.size() + by_network.size();
    std::size_t done = 0;
    for (const Candidate& c : few) {
      tell(done++, planned, "what mass buys");
      if (stop()) break;
      const std::size_t at = exact(c.antenna, c.network, solved, fmt::format("mass-{}", done));
      if (std::find(mass.begin(), mass.end(), at) == mass.end()) mass.push_back(at);
    }
    for (const auto& [network, c] : by_network) {
      tell(done++, planned, "what hands buy");
      if (stop()) break;
      const std::size_t at = exact(c.antenna, c.network, solved, fmt::format("hands-{}", done - few.size()));
      if (std::find(hands.begin(), hands.end(), at) == hands.end()) hands.push_back(at);
    }
    mass = unbeaten(std::move(mass), solved, [](const DesignedStation& s) { return s.mass_kg; });
    hands =
        unbeaten(std::move(hands), solved, [](const DesignedStation& s) { return static_cast<double>(touches_of(s)); });
    std::map<std::size_t, std::size_t> kept;
    const auto keep = [&](const std::vector<std::size_t>& of, std::vector<std::size_t>& into) {
      for (const std::size_t n : of) {
        const auto [place, fresh] = kept.emplace(n, f.stations.size());
        if (fresh) f.stations.push_back(solved[n]);
        into.push_back(place->second);
      }
    };
    keep(mass, f.by_mass);
    keep(hands, f.by_hands);
    return f;
  }

  /// A name that no condition has, nor one of a hand's contacts.
  std::string free_condition(const std::string& wanted) const {
    std::string name = wanted;
    const auto taken = [&](const station::Condition& c) { return c.name == name || c.name.rfind(name + ": ", 0) == 0; };
    for (int n = 2; std::any_of(brief_.conditions.begin(), brief_.conditions.end(), taken); ++n)
      name = fmt::format("{} {}", wanted, n);
    return name;
  }

  /// The mean of the shares of the time, where conditions have any.
  std::optional<double> mean_share() const {
    double sum = 0.0, count = 0.0;
    for (const station::Condition& c : brief_.conditions) {
      if (c.share) sum += *c.share, count += 1.0;
    }
    return count > 0.0 ? std::optional(sum / count) : std::nullopt;
  }

  void hand(Answer& answer) {
    if (stop()) return;
    tell(0, 1, "with a hand on the set");
    station::Brief with;
    try {
      with = station::read_brief(
          station::with_condition(brief_, free_condition("hand on the set"), "hand on set", mean_share()), brief_.file);
    } catch (const ParseError& error) {
      answer.hand_refused = without_place(error);
      return;
    }
    HandBeside beside;
    std::vector<std::string> added;
    for (std::size_t c = brief_.conditions.size(); c < with.conditions.size(); ++c)
      added.push_back(with.conditions[c].name);
    beside.conditions = fmt::format("{}", fmt::join(added, ", "));
    const Scoring scoring(with, search_);
    beside.anew = scoring.exact(first_.antenna, first_.network, "with-hand");
    const station::Arrangement& found = first_.station.arrangements.front();
    if (first_.touch != Touch::condition && !station::describe_kind(found.kind).takes_coil) {
      station::StationChoice choice{"with a hand on the set", first_.antenna, {{first_.network, found.settings}}};
      const station::Station as_set = station::read_station(station::station_text(with, choice, ""), with.file, ".");
      CompareOptions options;
      options.walks = 0;
      options.threads = options_.threads;
      options.every_point = options_.every_point;
      beside.as_set = compare(with, {}, as_set, options).present.front();
    }
    answer.hand = std::move(beside);
  }

  const station::Brief& brief_;
  const Design& design_;
  const AnswerOptions& options_;
  SearchOptions search_;
  Scoring scoring_;
  const DesignedStation& first_;
  bool stopped_ = false;
};

}  // namespace

int touches_of(const DesignedStation& station) { return station.hands + station.hands_between_bands; }

Answer answer(const station::Brief& brief, const Design& design, const AnswerOptions& options) {
  if (design.status != Status::found || design.stations.empty()) return {};
  return Asking(brief, design, options).all();
}

LengthMap length_map(const station::Brief& brief, const Design& design, std::size_t whips, std::size_t wires,
                     const AnswerOptions& options) {
  require(!design.stations.empty() && !design.stations.front().antenna.wires_m.empty(),
          "a map of lengths needs a station with a wire");
  require(whips >= 2 && whips <= 60 && wires >= 2 && wires <= 60, "a map of lengths takes 2 to 60 each way");
  return Asking(brief, design, options).map(whips, wires);
}

}  // namespace stile::design
