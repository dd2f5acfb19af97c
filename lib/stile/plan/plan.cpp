#include <stile/plan/plan.hpp>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <mutex>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/quantity.hpp>
#include <stile/plan/detail/verdict.hpp>
#include <stile/plan/detail/wound_coils.hpp>
#include <stile/plan/exposure.hpp>
#include <stile/plan/turns_found.hpp>

namespace stile::plan {
namespace {

constexpr std::size_t draws = 24;
constexpr unsigned draw_seed = 1;

/// What is known of every antenna in every condition, the same for all arrangements of a band.
Counted counted_of(const std::vector<detail::BandLoads>& antennas) {
  bool gains = true, shares = true;
  for (const detail::BandLoads& loads : antennas) {
    for (const std::vector<detail::LoadPoint>& points : loads) {
      for (const detail::LoadPoint& p : points) {
        gains = gains && p.path_gain;
        shares = shares && p.shares;
      }
    }
  }
  return gains ? Counted::path : shares ? Counted::radiated : Counted::delivered;
}

/// How much of a plan is made.
struct Extent {
  bool few_points = false;  ///< of each band, those at which settings are searched
  bool uncertain = true;    ///< with draws
  bool exposure = true;     ///< with the fields at people, and what they make of cautions
  bool swr_counts = true;   ///< when settings are searched
  bool only_held = false;   ///< settings that do not hold need not be known
  std::shared_ptr<WoundCoils> coils{};
  bool bounds = true;  ///< of what a hand moves
};

/// Enough to judge a number of turns.
const Extent draft_of_turns{true, false, false, true, true, {}, false};

/// What a long search is about to do: every pair of taps of an autotransformer with every place of its trimmer. A
/// million of them took 0.7 s of one processor (measured with three conditions, 2026).
std::string work_text(const station::Arrangement& arrangement, const detail::CoilTaps* coil,
                      const station::Band& band) {
  constexpr double seconds_each = 0.7e-6, worth_telling_s = 1.0;
  if (!station::describe_kind(arrangement.kind).fed_at_tap) return "";
  const auto positions = static_cast<double>(detail::FedCoil(arrangement, *coil, band).count());
  if (positions * seconds_each < worth_telling_s) return "";
  return fmt::format(": {:.2g} million positions of its taps and trimmer, about {:.0f} s", 1e-6 * positions,
                     positions * seconds_each);
}

/// The part in use lies within the band, and the design frequency within that. @throws DomainError
void require_ordered(const station::Band& band) {
  const auto require_within = [&](const char* what, double hz, double low_hz, double high_hz) {
    if (low_hz <= hz && hz <= high_hz) return;
    throw DomainError(fmt::format("the band \"{}\": {} {}; legal: {} to {}", band.name, what,
                                  print_quantity(hz, Unit::hertz, 9), print_quantity(low_hz, Unit::hertz, 9),
                                  print_quantity(high_hz, Unit::hertz, 9)));
  };
  require_within("the part in use begins at", band.use_low_hz, band.low_hz, band.high_hz);
  require_within("the part in use ends at", band.use_high_hz, band.use_low_hz, band.high_hz);
  require_within("the design frequency", band.design_hz, band.use_low_hz, band.use_high_hz);
}

/// All arrangements of a station whose coils have their turns.
Plan planned(const station::Station& station, const std::function<void(const std::string&)>& progress, unsigned threads,
             const Extent& extent) {
  for (const station::Band& band : station.bands) require_ordered(band);
  const std::size_t arrangements = station.arrangements.size();
  // Arrangements that wind the same coil share it.
  const std::shared_ptr<WoundCoils> coils = extent.coils ? extent.coils : wound_coils();
  const auto winds = [&](std::size_t n) { return station::describe_kind(station.arrangements[n].kind).takes_coil; };
  std::vector<std::vector<detail::BandLoads>> loads(station.bands.size());  // by band and antenna
  std::vector<Counted> counted;
  for (std::size_t b = 0; b < station.bands.size(); ++b) {
    for (const station::Antenna& antenna : station.antennas)
      loads[b].push_back(detail::band_loads(antenna, station.bands[b], extent.few_points));
    counted.push_back(counted_of(loads[b]));
  }

  std::vector<const detail::CoilTaps*> taps(station.bands.size() * arrangements, nullptr);
  in_blocks(taps.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      if (winds(j % arrangements))
        taps[j] =
            &coils->taps(station.arrangements[j % arrangements], station.bands[j / arrangements], extent.few_points);
    }
  });

  // Every arrangement on every band is a job of its own and writes only its own place.
  const detail::CornerGrid grid = detail::corner_grid(station);
  const std::vector<detail::Corner> drawn = detail::drawn_corners(station, extent.uncertain ? draws : 0, draw_seed);
  const std::vector<detail::Along> along =
      extent.uncertain ? detail::along_ranges(station) : std::vector<detail::Along>{};
  std::vector<detail::Judged> jobs(station.bands.size() * arrangements);
  std::mutex telling;
  in_blocks(jobs.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      const std::size_t b = j / arrangements, n = j % arrangements;
      const station::Band& band = station.bands[b];
      const station::Arrangement& arrangement = station.arrangements[n];
      if (progress) {
        const std::string work = work_text(arrangement, taps[j], band);
        const std::lock_guard<std::mutex> lock(telling);
        progress(fmt::format("{}: {}, {} conditions{}", band.name, arrangement.name, station.conditions.size(), work));
      }
      jobs[j] = detail::judge({station, arrangement, band, loads[b][arrangement.antenna], counted[b], taps[j],
                               extent.swr_counts, extent.only_held, extent.bounds},
                              grid, drawn, along);
    }
  });

  Plan plan;
  for (std::size_t n = 0; n < arrangements; ++n) {
    plan.windings.push_back(winds(n) ? std::optional(coils->model(station.arrangements[n]).winding) : std::nullopt);
  }
  safety::CautionCase facts;
  facts.power_w = station.transmitter.source.power_w;
  facts.whip_on_body = station.whip_on_body;
  facts.frequency_hz = network::infinite;
  for (const station::Arrangement& a : station.arrangements)
    facts.automatic_tuner |= station::describe_kind(a.kind).automatic;
  plan.bands.resize(station.bands.size());
  in_blocks(plan.bands.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t b = first; b < last; ++b) {
      BandResult& band = plan.bands[b];
      band.band = station.bands[b];
      band.counted = counted[b];
      const auto begin = std::make_move_iterator(jobs.begin() + static_cast<std::ptrdiff_t>(b * arrangements));
      detail::decide(station, grid, along, {begin, begin + static_cast<std::ptrdiff_t>(arrangements)}, band);
    }
  });
  for (const BandResult& band : plan.bands) {
    facts.frequency_hz = std::min(facts.frequency_hz, band.band.use_low_hz);
    for (const ArrangementResult& a : band.arrangements) {
      for (const ConditionResult& c : a.conditions) {
        if (c.load_voltage_high_v_peak > facts.load_voltage_v_peak) {
          facts.load_voltage_v_peak = c.load_voltage_high_v_peak;
          facts.load_voltage_where = fmt::format("{}, {}, {}", band.band.name, c.condition, a.name);
        }
      }
    }
  }
  if (extent.exposure) {
    plan.exposures = plan_exposures(station, plan, progress, threads);
    facts.findings = taken_findings(plan);
    plan.winds = antenna_winds(station);
    for (const safety::AntennaWind& wind : plan.winds) facts.wind.push_back(safety::wind_words(wind));
  }
  plan.cautions = safety::cautions(facts);
  return plan;
}

}  // namespace

std::optional<std::size_t> coil_element(const Setting& setting) {
  if (setting.feed_turns) return 0;
  if (setting.tap_turns.value_or(0.0) <= 0.0) return std::nullopt;
  for (std::size_t n = setting.elements.size(); n-- > 0;) {
    if (setting.elements[n].place == network::Place::series) return n;
  }
  return std::nullopt;
}

std::string describe(const ConditionResult& condition) {
  if (!condition.setting.feed_turns) return match::describe(condition.ladder);
  std::vector<std::string> said;
  for (const network::Element& element : condition.ladder.elements) {
    const bool cable = std::holds_alternative<network::TransmissionLine>(element.part);
    if (cable || said.empty() || said.back() != element.label)
      said.push_back(cable ? network::value_text(element.part) : element.label);
  }
  return fmt::format("{}", fmt::join(said, ", "));
}

std::string spent_name(Spent spent) {
  switch (spent) {
  case Spent::radiated:
    return "radiated";
  case Spent::ground:
    return "ground";
  case Spent::metal:
    return "whip and wire";
  case Spent::person:
    return "person";
  case Spent::lumps:
    return "chokes and wet base";
  case Spent::antenna:
    return "antenna, radiated and lost";
  case Spent::match:
    return "match";
  case Spent::cable:
    return "cable";
  case Spent::mismatch:
    return "not accepted";
  case Spent::held_back:
    break;
  }
  return "held back";
}

namespace {

void refuse_wires(const station::Station& station) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& l : antenna.loads) {
      const auto stated_wires = [](const station::AntennaLoad& end) { return end.wires.has_value(); };
      if (l.wires || std::any_of(l.ends.begin(), l.ends.end(), stated_wires))
        throw DomainError(fmt::format("the load \"{}\" is stated as wires and must be solved first", l.load.name));
    }
  }
}

}  // namespace

Plan make_plan(const station::Station& stated, const std::function<void(const std::string&)>& progress,
               unsigned threads, bool exposure) {
  refuse_wires(stated);
  const auto draft = [&](const station::Station& trial) { return planned(trial, {}, threads, draft_of_turns); };
  return planned(with_turns_found(stated, draft, progress), progress, threads, {.exposure = exposure});
}

Plan plan_as_stated(station::Station station, const AsStated& how, unsigned threads) {
  refuse_wires(station);
  station.uncertainty = {.q = 0.0, .ground = 0.0};
  const Extent extent{how.few_points, false, false, how.swr_counts, false, how.coils, how.bounds};
  const auto draft = [&](const station::Station& trial) { return planned(trial, {}, threads, draft_of_turns); };
  return planned(with_turns_found(std::move(station), draft), {}, threads, extent);
}

double power_below(double full_w, double db) { return full_w * std::pow(10.0, -0.1 * db); }

double db_below(double full_w, double power_w) {
  return power_w > 0.0 ? 10.0 * std::log10(full_w / power_w) : network::infinite;
}

double s_units(double db) { return db / db_per_s_unit; }

}  // namespace stile::plan
