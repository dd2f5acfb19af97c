#include "plan/card.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/quantity.hpp>

#include "cli/command_line.hpp"
#include "plan/own_search.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

std::string one_swr(double swr) { return swr < 100.0 ? fmt::format("{:.1f}", swr) : "over 100"; }

std::string swr_text(double low, double high) {
  const std::string from = one_swr(low), to = one_swr(high);
  return from == to ? from : from + " to " + to;
}

/// Two figures, never less than the value.
std::string rounded_up(double volts) {
  double step = 1.0;
  while (step * 100.0 <= volts) step *= 10.0;
  return print_quantity(step * std::ceil(volts / step), Unit::volt, 3);
}

/// What a tuner does, and what it does not by itself.
std::string itself_text(const Answers& answers, std::size_t band, std::size_t arrangement, std::size_t condition) {
  std::string text = "sets itself";
  const plan::OwnSearch* own = own_search_of(answers, band, arrangement, condition);
  if (own == nullptr) return text;
  if (own->can_tune && !*own->can_tune)
    text += fmt::format(", but not with the {} of fold-back", print_quantity(own->offered_w, Unit::watt, 3));
  if (ends_over_limit(answers.station, *own)) text += fmt::format("; may stop at SWR {}", one_swr(own->swr));
  return text;
}

plots::CardBand card_band(const Answers& answers, std::size_t number) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
  const plan::BandResult& band = plan.bands[number];
  plots::CardBand card{band.band.name, "nothing", {}, ""};
  if (!band.taken) {
    card.settings.push_back({"", "nothing listed stays within the limits here", "-"});
    return card;
  }
  const plan::ArrangementResult& a = band.arrangements[*band.taken];
  card.take = a.name + (station.antennas.size() > 1 ? ", " + a.antenna : "") +
              (band.choice == plan::Choice::undecided ? " (undecided: see the report)" : "");
  const std::optional<coil::Winding>& winding = plan.windings[*band.taken];
  const double turns = winding ? coil::total_turns(*winding) : 0.0;
  struct Line {
    std::vector<std::string> conditions;
    std::string set;
    double low = 0.0, high = 0.0;
  };
  std::vector<Line> lines;
  std::size_t normal = 0;
  double volts = 0.0;
  for (std::size_t n = 0; n < a.conditions.size(); ++n) {
    const plan::ConditionResult& c = a.conditions[n];
    volts = std::max(volts, c.load_voltage_high_v_peak);  // an accident's too: who touches does not ask
    if (c.role != station::Role::normal) continue;
    ++normal;
    const std::string set = !c.possible                                ? "cannot be set"
                            : station::describe_kind(a.kind).automatic ? itself_text(answers, number, *band.taken, n)
                                                                       : setting_text(c.setting, turns);
    auto line = std::find_if(lines.begin(), lines.end(), [&](const Line& each) { return each.set == set; });
    if (line == lines.end()) line = lines.insert(lines.end(), Line{{}, set, c.swr, c.swr_range.high});
    line->conditions.push_back(c.condition);
    line->low = std::min(line->low, c.swr);
    line->high = std::max({line->high, c.worst_swr, c.swr_range.high});
  }
  for (const Line& line : lines) {
    card.settings.push_back(
        {line.conditions.size() == normal ? "" : fmt::format("{}", fmt::join(line.conditions, ", ")), line.set,
         swr_text(line.low, line.high)});
  }
  card.figures = print_quantity(station.transmitter.source.power_w, Unit::watt, 3) + " in";
  if (a.radiated_w) card.figures += ", " + print_quantity(*a.radiated_w, Unit::watt, 2) + " radiated at worst";
  card.figures += ", up to " + rounded_up(volts) + " peak at the base";
  return card;
}

/// "whip 3 m, counterpoise 5 m" of each antenna, without set and person.
std::string wires_text(const station::Station& station) {
  std::string text;
  for (const station::Antenna& antenna : station.antennas) {
    if (!text.empty()) text += "; ";
    if (!antenna.name.empty()) text += antenna.name + ": ";
    const auto drawn = std::find_if(antenna.loads.begin(), antenna.loads.end(),
                                    [](const station::AntennaLoad& l) { return l.solved_from.has_value(); });
    if (drawn == antenna.loads.end()) {
      text += "lengths of the wires are not stated";
      continue;
    }
    bool first = true;
    for (const wire::Wire& w : drawn->solved_from->antenna.wires) {
      if (w.person || w.set) continue;
      text += (first ? "" : ", ") + w.name + " " + print_quantity(wire::wire_length_m(w), Unit::metre, 3);
      first = false;
    }
  }
  return text;
}

}  // namespace

plots::PackCard plan_card(const Answers& answers) {
  const station::Station& station = answers.station;
  plots::PackCard card{
      station.name,
      wires_text(station),
      {},
      {"High voltage on whip, coil and taps while keyed: touch nothing. Keep others off whip and wires.",
       "Look up for overhead lines; take the whip down at the first thunder. Local rules decide."},
      "all cautions: report.html; " + version_text("stile-plan")};
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) card.bands.push_back(card_band(answers, b));
  return card;
}

}  // namespace stile::tools
