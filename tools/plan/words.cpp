#include "plan/words.hpp"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <stile/base/quantity.hpp>
#include <stile/plan/worst_figures.hpp>

namespace stile::tools {

std::string choice_name(plan::Choice choice) {
  switch (choice) {
  case plan::Choice::tuner:
    return "tuner";
  case plan::Choice::fixed:
    return "fixed";
  case plan::Choice::undecided:
    return "undecided";
  case plan::Choice::not_run:
  case plan::Choice::none:
    break;
  }
  return "none";
}

const char* counted_name(plan::Counted counted) {
  switch (counted) {
  case plan::Counted::delivered:
    return "delivered";
  case plan::Counted::radiated:
    return "radiated";
  case plan::Counted::path:
    break;
  }
  return "path";
}

std::string db(double value) {
  if (!std::isfinite(value)) return "inf";
  return fmt::format("{:.1f}", std::abs(value) < 0.05 ? 0.0 : value);  // no "-0.0"
}

std::string range_text(double value, const Range& range) {
  return fmt::format("{} ({}..{})", db(value), db(range.low), db(range.high));
}

std::string s_range_text(double db, const Range& range_db) {
  return range_text(plan::s_units(db), {plan::s_units(range_db.low), plan::s_units(range_db.high)});
}

std::string swr_range_text(double swr, const Range& range) {
  const std::string low = swr_text(range.low), high = swr_text(range.high);
  return low == high ? swr_text(swr) : fmt::format("{} ({}..{})", swr_text(swr), low, high);
}

std::string known_db(const std::optional<double>& value) { return value ? db(*value) : "not known"; }

std::string voltage_text(double as_stated, double high) {
  return fmt::format("{} ({})", print_quantity(as_stated, Unit::volt, 3), print_quantity(high, Unit::volt, 3));
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"; }

std::string exact_ohms(cdouble z_ohm) { return fmt::format("{}{:+}j", z_ohm.real(), z_ohm.imag()); }

std::optional<double> db_below(double full_w, const std::optional<double>& power_w) {
  return power_w ? std::optional(plan::db_below(full_w, *power_w)) : std::nullopt;
}

std::string budget_text(const plan::ConditionResult& c) {
  std::string text;
  for (const plan::BudgetItem& item : c.budget) {
    if (item.power_w < 1e-6 * c.offered_w) continue;
    if (!text.empty()) text += ", ";
    text += fmt::format("{} {}", item.where.empty() ? plan::spent_name(item.spent) : item.where,
                        print_quantity(item.power_w, Unit::watt, 3));
  }
  return text;
}

/// "L2 98.02 uH: 1.65 kV peak (up to 1.9 kV; rated 3 kV), 288 mA rms (up to 310 mA), 3.44 W (rated 4 W)" for each part
/// of the match: as stated, and the most wherever uncertain inputs lie where that reads otherwise.
std::string stress_text(const plan::ConditionResult& c) {
  std::string text;
  if (c.setting.feed_turns) return text;  // the parts of an autotransformer mean something only together
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& element = c.ladder.elements[n];
    if (element.place == network::Place::cascade) continue;
    const network::Stress& stress = c.evaluation.elements[n];
    const plan::StressRange& range = c.stress_ranges[n];
    const auto figure = [](double value, double most, double rating, Unit unit, const char* kind) {
      const std::string stated = print_quantity(value, unit, 3), high = print_quantity(most, unit, 3);
      std::vector<std::string> also;
      if (high != stated) also.push_back("up to " + high);
      if (std::isfinite(rating)) also.push_back("rated " + print_quantity(rating, unit, 3));
      return stated + kind + (also.empty() ? "" : fmt::format(" ({})", fmt::join(also, "; ")));
    };
    text += fmt::format(
        "{}{} {}: {}, {}, {}", text.empty() ? "" : "; ", element.label, network::value_text(element.part),
        figure(stress.voltage_v_peak, range.voltage_v_peak.high, element.rating.voltage_v_peak, Unit::volt, " peak"),
        figure(stress.current_a_rms, range.current_a_rms.high, element.rating.current_a_rms, Unit::ampere, " rms"),
        figure(stress.dissipation_w, range.dissipation_w.high, element.rating.dissipation_w, Unit::watt, ""));
  }
  return text;
}

std::string setting_text(const plan::Setting& setting, double turns) {
  std::string text;
  const auto add = [&](const std::string& part) { text += (text.empty() ? "" : ", ") + part; };
  if (setting.feed_turns)  // its turns are one part: what the elements say means something only together
    return fmt::format("transmitter at turn {:g}, antenna at turn {:g}, rest {}{}", *setting.feed_turns,
                       *setting.tap_turns, setting.unused == coil::Unused::open ? "open" : "shorted",
                       setting.trimmer_f > 0.0 ? ", " + print_quantity(setting.trimmer_f, Unit::farad, 3) + " across"
                                               : "");
  if (setting.tap_turns) {
    add(*setting.tap_turns >= turns - 1e-9 ? fmt::format("tap {:g}, the end", turns)
        : *setting.tap_turns > 0.0         ? fmt::format("tap {:g}, rest {}", *setting.tap_turns,
                                                 setting.unused == coil::Unused::open ? "open" : "shorted")
                                           : "coil bypassed");
  }
  if (setting.trimmer_f > 0.0) add(print_quantity(setting.trimmer_f, Unit::farad, 3) + " across the coil");
  bool coil = setting.tap_turns && *setting.tap_turns > 0.0;  // the wound one is named by its tap
  for (const network::Element& e : setting.elements) {
    if (coil && e.place == network::Place::series && std::holds_alternative<network::Inductor>(e.part)) {
      coil = false;
      continue;
    }
    add(network::place_name(e.place) + " " + network::kind_name(e.part) + " " + network::value_text(e.part, 3));
  }
  return text.empty() ? "nothing to set" : text;
}

std::string path_text(const station::Band& band) {
  if (!band.path) return "";
  const station::Path& p = *band.path;
  const std::string where =
      p.distance_m
          ? fmt::format("{} away, one hop over a layer {} to {} high: ", print_quantity(*p.distance_m, Unit::metre),
                        print_quantity(p.layer_height_m.low, Unit::metre),
                        print_quantity(p.layer_height_m.high, Unit::metre))
          : "";
  return fmt::format("The other station: {}elevations {:.3g} to {:.3g} degrees.\n", where, p.elevation_deg.low,
                     p.elevation_deg.high);
}

namespace {

std::string bandwidth_text(const match::Bandwidth& b) {
  if (b.width_hz() == 0.0) return "none";
  return (b.low_is_data_edge || b.high_is_data_edge ? ">" : "") + print_quantity(b.width_hz(), Unit::hertz, 3);
}

/// The figures of a row; what counts has its range beside it.
struct Row {
  std::string name;
  double swr = 0.0;
  Range swr_range;
  std::optional<double> path_db, radiated_db;
  double loss_db = 0.0, counted_db = 0.0;
  Range loss_range_db, counted_range_db;
  double volt = 0.0, volt_high = 0.0;
  std::string bandwidth;
};

std::vector<std::string> cells(plan::Counted counted, const Row& r) {
  const bool path = counted == plan::Counted::path, radiated = counted == plan::Counted::radiated;
  return {r.name,
          swr_range_text(r.swr, r.swr_range),
          path ? range_text(r.counted_db, r.counted_range_db) : known_db(r.path_db),
          radiated ? range_text(r.counted_db, r.counted_range_db) : known_db(r.radiated_db),
          path || radiated ? db(r.loss_db) : range_text(r.loss_db, r.loss_range_db),
          s_range_text(r.counted_db, r.counted_range_db),
          voltage_text(r.volt, r.volt_high),
          r.bandwidth};
}

std::vector<std::string> condition_row(plan::Counted counted, double full_w, const plan::ConditionResult& c) {
  const std::string name = "  " + c.condition + (c.role == station::Role::accident ? " (accident)" : "");
  if (!c.possible) return {name, "-", "cannot be made"};
  return cells(counted, {name, c.worst_swr, c.swr_range, db_below(full_w, c.path_w), db_below(full_w, c.radiated_w),
                         c.worst_loss_db, c.counted_db, c.loss_range_db, c.counted_range_db, c.load_voltage_v_peak,
                         c.load_voltage_high_v_peak, bandwidth_text(c.bandwidth)});
}

/// Each figure of its own worst normal condition.
std::vector<std::string> worst_row(plan::Counted counted, const plan::ArrangementResult& a) {
  if (!std::isfinite(a.worst_swr)) return {a.name, "-", "cannot be made"};
  const plan::WorstFigures w = plan::worst_figures(a);
  return cells(counted,
               {a.name, a.worst_swr, a.swr_range, a.path_db, a.radiated_db, w.loss_db, a.counted_db, w.loss_range_db,
                a.counted_range_db, w.load_voltage_v_peak, w.load_voltage_high_v_peak, bandwidth_text(w.narrowest)});
}

}  // namespace

std::vector<std::vector<std::string>> comparison_rows(const station::Station& station, const plan::BandResult& band,
                                                      bool every_condition) {
  std::vector<std::vector<std::string>> rows{
      {"", "SWR", "to path, dB", "radiated, dB", "to antenna, dB", "S units", "base, peak", "bandwidth"}};
  for (const plan::ArrangementResult& a : band.arrangements) {
    rows.push_back(every_condition ? std::vector<std::string>{a.name} : worst_row(band.counted, a));
    if (every_condition) {
      for (const plan::ConditionResult& c : a.conditions)
        rows.push_back(condition_row(band.counted, station.transmitter.source.power_w, c));
    }
    if (a.ok) rows.back().push_back(a.holds_throughout ? "holds" : "as stated");
  }
  return rows;
}

std::string proof_text(const plan::ArrangementResult& a) {
  if (!a.proof || !std::isfinite(a.proof->bound_db)) return "";
  const match::Proof& proof = *a.proof;
  const char* which = a.ok ? " that holds" : "";
  if (proof.in_steps && !(proof.bound_db < a.counted_db - 0.005))
    return fmt::format("{}: searched in steps, {} settings tried; nothing is proven of those between.", a.name,
                       proof.tried);
  return fmt::format("{}: no setting{} can lose less than {:.2f} dB ({}).", a.name, which, proof.bound_db,
                     proof.proven ? "proven" : fmt::format("a bound; as set {:.2f} dB", a.counted_db));
}

/// How often a hand is needed, and what accidents do.
std::string walking_text(const plan::ArrangementResult& a) {
  std::vector<std::string> said;
  if (a.untouched && a.untouched_by_itself && *a.untouched_by_itself < *a.untouched)
    said.push_back(
        fmt::format("untouched it works {:.0f} % of the time by what its own search reaches, {:.0f} % if it were "
                    "set as well as its parts allow",
                    100.0 * *a.untouched_by_itself, 100.0 * *a.untouched));
  else if (a.untouched)
    said.push_back(fmt::format("untouched it works {:.0f} % of the time", 100.0 * *a.untouched));
  if (a.resets_per_hour && a.hands > 0) said.push_back(fmt::format("{:.2g} resets an hour", *a.resets_per_hour));
  said.insert(said.end(), a.accidents.begin(), a.accidents.end());
  return said.empty() ? "" : fmt::format("{}: {}.", a.name, fmt::join(said, "; "));
}

}  // namespace stile::tools
