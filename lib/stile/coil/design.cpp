#include <stile/coil/design.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/roots.hpp>
#include <stile/coil/closed_forms.hpp>
#include <stile/coil/detail/design_ports.hpp>

namespace stile::coil {

namespace {

using detail::Ports;
using detail::TapPorts;

void check(const DesignRequest& r) {
  require(r.winding.sections.size() == 1, "a coil with taps is designed on one section");
  require(!r.bands.empty(), "a design needs at least one band");
  require(r.tap_step_turns == 1.0 || r.tap_step_turns == 0.5 || r.tap_step_turns == 0.25,
          "taps stand at whole, half or quarter turns: 1, 0.5 or 0.25");
  require(r.most_turns >= 1.0 && r.most_turns <= 400.0, "the search for turns needs a limit from 1 to 400");
  for (const double ohm : {r.switch_ohm, r.contact_ohm, r.lead_inductance_h}) {
    require(ohm >= 0.0 && std::isfinite(ohm), "switch, contact and lead must be >= 0 and finite");
  }
  for (const double x : {r.transmitter_ohm, r.shunt_coil_q, r.shunt_capacitor_q}) {
    require(x > 0.0 && std::isfinite(x), "the transmitter's impedance and the Q of shunt parts must be > 0");
  }
  for (const Range& had : {r.capacitance_f, r.inductance_h})
    require(had.low >= 0.0 && had.low <= had.high, "the limits of parts must be >= 0 and rising");
  for (const BandTarget& b : r.bands) {
    require(b.frequency_hz > 0.0 && std::isfinite(b.frequency_hz), "a band's frequency must be > 0 and finite");
    require(std::isfinite(b.load_ohm.imag()) && b.load_ohm.real() >= 0.0 && std::isfinite(b.load_ohm.real()),
            "a band's load must be finite with a real part >= 0");
    require(std::isfinite(b.load_slope_ohm_per_hz) && std::isfinite(b.whip_slope_ohm_per_m), "slopes must be finite");
  }
}

Winding with_turns(const Winding& winding, double turns) {
  Winding w = winding;
  w.sections.front().turns = turns;
  return w;
}

/// Contacts and leads in series at the base.
cdouble series_parts(const DesignRequest& r, double frequency_hz) {
  return {r.contact_ohm, two_pi * frequency_hz * r.lead_inductance_h};
}

/// Reactance left at the base when the whole coil is in use.
double whole_residual_ohm(const DesignRequest& r, const CoilModel& model, const BandTarget& band) {
  const TurnSolution turns = solve_turns(model, band.frequency_hz);
  const WirePlace end{0, model.winding.sections.front().turns};
  const TapPorts ports(place_impedance_ohm(model, turns, {{0, 0.0}, end}, std::nullopt));
  return (detail::input(ports.series(1, Unused::open, 0.0), band.load_ohm) + series_parts(r, band.frequency_hz)).imag();
}

/// Least whole number of turns with which the coil reaches resonance on a band; 0: not with the most allowed.
double turns_for(const DesignRequest& r, const BandTarget& band, double at_least) {
  const double wanted_h = -band.load_ohm.imag() / (two_pi * band.frequency_hz) - r.lead_inductance_h;
  if (wanted_h <= 0.0) return at_least;
  const Winding& w = r.winding;
  double turns = at_least;
  while (turns < r.most_turns && rosa_inductance_h(turns, w.diameter_m, w.sections.front().pitch_m, w.wire.diameter_m,
                                                   true) < 0.98 * wanted_h) {
    turns += 1.0;
  }
  // Walks from a number of turns to the least beside it that reaches resonance; 0: none up to the most allowed does.
  const auto least_from = [&](double n, const RingOptions& rings, ChargeModel charges) {
    const auto reached = [&](double tried) {
      return whole_residual_ohm(r, coil_model(with_turns(w, tried), rings, charges), band) >= 0.0;
    };
    if (!reached(n)) {
      while (n < r.most_turns) {
        n += 1.0;
        if (reached(n)) return n;
      }
      return 0.0;
    }
    while (n > at_least && reached(n - 1.0)) n -= 1.0;
    return n;
  };
  // A coarse model comes within a turn or so at a hundredth of the cost of the fine one, which decides.
  RingOptions coarse;
  coarse.currents = CurrentModel::even;
  const double about = least_from(turns, coarse, ChargeModel::thin);
  return least_from(about > 0.0 ? about : turns, RingOptions{}, ChargeModel::automatic);
}

std::vector<WirePlace> tap_places(double turns, double step) {
  std::vector<WirePlace> places;
  for (int i = 0; i * step <= turns + 1e-9; ++i) places.push_back({0, std::min(turns, i * step)});
  return places;
}

bool within(const Range& range, double value) { return value >= range.low && value <= range.high; }

/// What is tried across the coil: 0.1 pF to 10 nF, as far as it can be had. low > high: nothing.
Range bridging_range_f(const DesignRequest& r) {
  return {std::max(1e-13, r.capacitance_f.low), std::min(1e-8, r.capacitance_f.high)};
}

/// Capacitance across the coil that takes away a reactance below zero; nothing: none of bridging_range_f does.
std::optional<double> bridging_capacitance_f(const DesignRequest& r, const TapPorts& ports, const BandTarget& band,
                                             std::size_t tap, Unused unused) {
  const auto left = [&](double c) {
    const cdouble bridge{0.0, -1.0 / (two_pi * band.frequency_hz * c)};
    return (detail::input(ports.series_bridged(tap, unused, r.switch_ohm, bridge), band.load_ohm) +
            series_parts(r, band.frequency_hz))
        .imag();
  };
  auto [low, most] = bridging_range_f(r);
  if (low > most) return std::nullopt;
  if (left(low) >= 0.0) return std::nullopt;  // the least that can be had is too much
  while (low < most) {
    const double high = std::min(1.5 * low, most);
    if (left(high) >= 0.0) {
      const Root root = find_root(left, low, high, {1e-9, 100});
      return root.status == RootStatus::found ? std::optional(root.x) : std::nullopt;
    }
    low = high;
  }
  return std::nullopt;
}

TapChoice choose_tap(const DesignRequest& r, const TapPorts& ports, const BandTarget& band, Unused unused,
                     const std::vector<WirePlace>& places) {
  const auto at = [&](std::size_t tap) {
    return detail::input(ports.series(tap, unused, r.switch_ohm), band.load_ohm) + series_parts(r, band.frequency_hz);
  };
  // Resonance lies where the reactance passes zero upwards; beside a resonance of open turns it also jumps upwards
  // through infinity, which is told by its size. Of several the one that delivers most is taken.
  const auto worth = [&](std::size_t tap) {
    const Ports port = ports.series(tap, unused, r.switch_ohm);
    const cdouble z = at(tap);
    const double efficiency = std::norm(detail::load_current(port, band.load_ohm)) * band.load_ohm.real() / z.real();
    return (band.load_ohm.real() > 0.0 ? efficiency : 1.0) * z.real() * z.real() / std::norm(z);
  };
  TapChoice choice;
  choice.unused = unused;
  std::size_t best = 0;
  double best_worth = 0.0, before = at(0).imag(), least = std::abs(before);
  const bool nothing_to_do = before >= 0.0;
  choice.reached = nothing_to_do;
  for (std::size_t tap = 1; tap < ports.taps() && !nothing_to_do; ++tap) {
    const double here = at(tap).imag();
    const std::size_t nearer = std::abs(here) < std::abs(before) ? tap : tap - 1;
    const bool passes = before < 0.0 && here >= 0.0 && std::min(-before, here) < std::abs(band.load_ohm.imag());
    if (passes && worth(nearer) > best_worth) {
      best = nearer;
      best_worth = worth(nearer);
      choice.reached = true;
    } else if (!choice.reached && std::abs(here) < least) {
      best = tap;
      least = std::abs(here);
    }
    before = here;
  }
  const Ports port = ports.series(best, unused, r.switch_ohm);
  choice.turns = places[best].turn;
  choice.input_ohm = at(best);
  choice.residual_ohm = choice.input_ohm.imag();
  choice.load_current_a = std::abs(detail::load_current(port, band.load_ohm));
  const double delivered = choice.load_current_a * choice.load_current_a * band.load_ohm.real();
  choice.coil_ohm = choice.input_ohm.real() - delivered - r.contact_ohm;
  choice.efficiency = delivered / choice.input_ohm.real();
  const auto with_loss = [&](double factor) {
    return delivered / (choice.input_ohm.real() + (factor - 1.0) * choice.coil_ohm);
  };
  choice.efficiency_practice = {with_loss(practical_loss.high), with_loss(practical_loss.low)};
  const double omega = two_pi * band.frequency_hz;
  if (const double c = 1.0 / (omega * choice.residual_ohm); choice.residual_ohm > 0.0 && within(r.capacitance_f, c))
    choice.series_trim_f = c;
  if (choice.residual_ohm < 0.0 && best > 0)
    choice.shunt_trim_f = bridging_capacitance_f(r, ports, band, best, unused).value_or(0.0);
  if (band.whip_slope_ohm_per_m != 0.0) choice.whip_trim_m = -choice.residual_ohm / band.whip_slope_ohm_per_m;
  return choice;
}

/// The part across the base that takes away the susceptance of what it meets.
struct BasePart {
  cdouble admittance{};
  double inductance_h = 0.0, capacitance_f = 0.0;
  bool possible = true;
};

BasePart base_part(const DesignRequest& r, StepKind kind, cdouble y_in, double omega) {
  BasePart part;
  if (kind == StepKind::shunt_coil) {
    part.possible = y_in.imag() > 0.0;
    if (!part.possible) return part;
    part.admittance = {y_in.imag() / r.shunt_coil_q, -y_in.imag()};
    part.inductance_h = 1.0 / (omega * y_in.imag() * (1.0 + 1.0 / (r.shunt_coil_q * r.shunt_coil_q)));
    part.possible = within(r.inductance_h, part.inductance_h);
  } else if (kind == StepKind::shunt_capacitor) {
    part.possible = y_in.imag() < 0.0;
    if (!part.possible) return part;
    part.admittance = {-y_in.imag() / r.shunt_capacitor_q, -y_in.imag()};
    part.capacitance_f = -y_in.imag() / omega;
    part.possible = within(r.capacitance_f, part.capacitance_f);
  }
  return part;
}

/// One arrangement of a step with what it is worth.
struct Arrangement {
  std::size_t feed = 0, tap = 0;
  BasePart part;
  cdouble input_ohm{};
  double efficiency = 0.0, worth = -1.0;
  double coil_per_load = 0.0;  ///< power lost in the coil over power in the load
};

Arrangement arranged(const DesignRequest& r, const BandTarget& band, StepKind kind, const Ports& ports) {
  Arrangement a;
  const cdouble coil = detail::input(ports, band.load_ohm) + series_parts(r, band.frequency_hz);
  a.part = base_part(r, kind, 1.0 / coil, two_pi * band.frequency_hz);
  if (!a.part.possible) return a;
  const cdouble y = 1.0 / coil + a.part.admittance;
  a.input_ohm = 1.0 / y;
  const double delivered = std::norm(detail::load_current(ports, band.load_ohm)) * band.load_ohm.real();
  a.efficiency = delivered / coil.real() * (1.0 / coil).real() / y.real();
  if (delivered > 0.0) a.coil_per_load = (coil.real() - r.contact_ohm - delivered) / delivered;
  const double rho = detail::reflection(a.input_ohm, r.transmitter_ohm);
  a.worth = (1.0 - rho * rho) * (band.load_ohm.real() > 0.0 ? a.efficiency : 1.0);
  return a;
}

Arrangement best_arrangement(const DesignRequest& r, const BandTarget& band, StepKind kind, const TapPorts& ports,
                             const TapChoice& chosen, const std::vector<WirePlace>& places) {
  Arrangement best;
  const auto take = [&](const Ports& p, std::size_t feed, std::size_t tap) {
    Arrangement a = arranged(r, band, kind, p);
    if (a.worth <= best.worth) return;
    a.feed = feed;
    a.tap = tap;
    best = a;
  };
  for (std::size_t tap = 0; tap < ports.taps(); ++tap) {
    // Near the tap of resonance; other solutions lean on resonances of the unused turns.
    const double off = std::abs(places[tap].turn - chosen.turns);
    if (kind == StepKind::none ? off > 0.0 : off > 0.4 * chosen.turns + 2.0) continue;
    if (kind != StepKind::autotransformer) {
      take(ports.series(tap, chosen.unused, r.switch_ohm), 0, tap);
      continue;
    }
    for (std::size_t feed = 1; feed < tap; ++feed)
      take(ports.autotransformer(feed, tap, chosen.unused, r.switch_ohm), feed, tap);
  }
  return best;
}

/// Ports of an arrangement from the coil itself, at any frequency near the band's.
Ports exact_ports(const DesignRequest& r, const CoilModel& model, const TurnSolution& turns,
                  const std::vector<WirePlace>& places, StepKind kind, Unused unused, const Arrangement& a) {
  std::vector<WirePlace> few{places.front(), places[a.feed], places[a.tap], places.back()};
  const TapPorts ports(place_impedance_ohm(model, turns, few, std::nullopt));
  return kind == StepKind::autotransformer
             ? ports.autotransformer(1, 2, a.tap + 1 == places.size() ? Unused::open : unused, r.switch_ohm)
             : ports.series(2, a.tap + 1 == places.size() ? Unused::open : unused, r.switch_ohm);
}

/// Width around the band's frequency within which SWR stays below 2.
double swr2_bandwidth_hz(const DesignRequest& r, const BandTarget& band, StepKind kind, const Ports& here,
                         const Ports& beside, double beside_hz, const Arrangement& a) {
  const double slope =
      band.load_slope_ohm_per_hz != 0.0 ? band.load_slope_ohm_per_hz : -band.load_ohm.imag() / band.frequency_hz;
  const auto swr_at = [&](double offset_hz) {
    const double t = offset_hz / beside_hz, ratio = 1.0 + offset_hz / band.frequency_hz;
    const auto along = [t](cdouble p, cdouble q) { return p + t * (q - p); };
    const Ports ports{along(here.z11, beside.z11), along(here.z12, beside.z12), along(here.z22, beside.z22)};
    const cdouble coil = detail::input(ports, band.load_ohm + cdouble{0.0, slope * offset_hz}) +
                         series_parts(r, band.frequency_hz + offset_hz);
    cdouble y = 1.0 / coil;
    if (kind == StepKind::shunt_coil) y += a.part.admittance / ratio;
    if (kind == StepKind::shunt_capacitor) y += a.part.admittance * ratio;
    return detail::swr(detail::reflection(1.0 / y, r.transmitter_ohm));
  };
  if (swr_at(0.0) > 2.0) return 0.0;
  double width = 0.0;
  for (const double side : {-1.0, 1.0}) {
    double inside = 0.0, outside = 1e-4 * band.frequency_hz;
    while (outside < 0.2 * band.frequency_hz && swr_at(side * outside) < 2.0) {
      inside = outside;
      outside *= 1.6;
    }
    if (swr_at(side * outside) < 2.0) {
      width += outside;
      continue;
    }
    const Root edge = find_root([&](double x) { return swr_at(side * x) - 2.0; }, inside, outside, {1e-6, 60});
    width += edge.status == RootStatus::found ? edge.x : inside;  // what is known to be within
  }
  return width;
}

BandDesign design_band(const DesignRequest& r, const CoilModel& model, const BandTarget& band) {
  const double all = model.winding.sections.front().turns;
  const std::vector<WirePlace> places = tap_places(all, r.tap_step_turns);
  const TurnSolution turns = solve_turns(model, band.frequency_hz);
  const TapPorts ports(place_impedance_ohm(model, turns, places, std::nullopt));
  BandDesign d;
  d.target = band;
  d.open = choose_tap(r, ports, band, Unused::open, places);
  d.shorted = choose_tap(r, ports, band, Unused::shorted, places);
  const bool shorted_better =
      band.load_ohm.real() > 0.0 ? d.shorted.efficiency > d.open.efficiency : d.shorted.coil_ohm < d.open.coil_ohm;
  if (d.shorted.reached && (shorted_better || !d.open.reached)) d.better = Unused::shorted;
  const double loss_open = band.load_ohm.real() > 0.0 ? 1.0 - d.open.efficiency : d.open.coil_ohm;
  const double loss_shorted = band.load_ohm.real() > 0.0 ? 1.0 - d.shorted.efficiency : d.shorted.coil_ohm;
  d.undecided = d.open.reached && d.shorted.reached && d.open.turns < all && d.shorted.turns < all &&
                std::abs(loss_open - loss_shorted) <
                    (practical_loss.high - practical_loss.low) * std::max(loss_open, loss_shorted);
  const TapChoice& chosen = d.chosen();
  if (chosen.turns > 0.0) {
    d.coil = analyse(model, turns, tapped(model.winding, chosen.turns, chosen.unused, Grounded::from, r.switch_ohm));
    d.warnings = sweep_warnings({&d.coil, 1});
  }
  if (d.undecided) {
    d.warnings.push_back(fmt::format(
        "{}: open and shorted unused turns differ by less than the coil's loss is known: try both", band.name));
  }
  const bool little = std::abs(chosen.residual_ohm) <= 0.5 * chosen.input_ohm.real();
  if (!chosen.reached) {
    d.warnings.push_back(fmt::format("{}: no tap brings the load to resonance; {:.4g} ohm of reactance stay", band.name,
                                     chosen.residual_ohm));
  } else if (!little) {
    d.residual_warning = fmt::format("{}: the nearest tap leaves {:.3g} ohm of reactance: trim it or take finer taps",
                                     band.name, chosen.residual_ohm);
    d.warnings.push_back(d.residual_warning);
  }
  if (!little && chosen.residual_ohm < 0.0 && chosen.turns > 0.0 && chosen.shunt_trim_f == 0.0) {
    const Range tried_f = bridging_range_f(r);
    d.warnings.push_back(
        tried_f.low > tried_f.high
            ? fmt::format(
                  "{}: a capacitor across the coil that takes away the {:.3g} ohm left cannot be had up to 10 nF",
                  band.name, chosen.residual_ohm)
            : fmt::format("{}: no capacitor of {} to {} across the coil was found that takes away the {:.3g} ohm left",
                          band.name, print_quantity(tried_f.low, Unit::farad),
                          print_quantity(tried_f.high, Unit::farad), chosen.residual_ohm));
  }

  const double offset_hz = 1e-4 * band.frequency_hz;
  const TurnSolution turns_beside = shifted(turns, band.frequency_hz + offset_hz);
  for (const StepKind kind :
       {StepKind::none, StepKind::shunt_coil, StepKind::shunt_capacitor, StepKind::autotransformer}) {
    const Arrangement a = best_arrangement(r, band, kind, ports, chosen, places);
    ResistanceStep step;
    step.kind = kind;
    step.unused = chosen.unused;
    step.possible = a.worth >= 0.0;
    if (step.possible) {
      step.turns = places[a.tap].turn;
      step.feed_turns = kind == StepKind::autotransformer ? places[a.feed].turn : 0.0;
      step.inductance_h = a.part.inductance_h;
      step.capacitance_f = a.part.capacitance_f;
      step.input_ohm = a.input_ohm;
      step.swr = detail::swr(detail::reflection(a.input_ohm, r.transmitter_ohm));
      if (a.efficiency > 0.0) {
        const auto loss_db = [&](double factor) {
          return 10.0 * std::log10(1.0 / a.efficiency + (factor - 1.0) * a.coil_per_load);
        };
        step.loss_db = loss_db(1.0);
        step.loss_db_practice = {loss_db(practical_loss.low), loss_db(practical_loss.high)};
      }
      step.bandwidth_hz =
          swr2_bandwidth_hz(r, band, kind, exact_ports(r, model, turns, places, kind, chosen.unused, a),
                            exact_ports(r, model, turns_beside, places, kind, chosen.unused, a), offset_hz, a);
    }
    d.steps.push_back(step);
  }
  return d;
}

}  // namespace

double tap_loss_db(const TapChoice& choice) { return -10.0 * std::log10(choice.efficiency); }

Range tap_loss_db_practice(const TapChoice& choice) {
  return {-10.0 * std::log10(choice.efficiency_practice.high), -10.0 * std::log10(choice.efficiency_practice.low)};
}

std::string step_name(StepKind kind) {
  switch (kind) {
  case StepKind::none:
    return "none";
  case StepKind::shunt_coil:
    return "shunt coil";
  case StepKind::shunt_capacitor:
    return "shunt capacitor";
  case StepKind::autotransformer:
    return "autotransformer";
  }
  throw DomainError("no such step");
}

const ResistanceStep& best_step(const BandDesign& band, double swr_limit, const std::optional<StepKind>& only) {
  require(!band.steps.empty(), "a band without steps has no best one");
  const ResistanceStep* best = nullptr;
  for (const ResistanceStep& step : band.steps) {
    if (!step.possible || (only && step.kind != *only)) continue;
    const bool holds = step.swr <= swr_limit, best_holds = best != nullptr && best->swr <= swr_limit;
    if (best == nullptr || (holds && (!best_holds || step.loss_db < best->loss_db)) ||
        (!holds && !best_holds && step.swr < best->swr))
      best = &step;
  }
  return best != nullptr ? *best : band.steps.front();
}

CoilDesign design_coil(const DesignRequest& request) {
  check(request);
  check(request.turns_stated ? request.winding : with_turns(request.winding, 1.0));
  CoilDesign design;
  design.status = DesignStatus::found;
  design.winding = request.winding;
  if (!request.turns_stated) {
    // The band that needs most inductance sets the turns; the others are then mostly reached already.
    const auto need = [](const BandTarget& band) { return -band.load_ohm.imag() / band.frequency_hz; };
    const auto most = std::max_element(request.bands.begin(), request.bands.end(),
                                       [&](const BandTarget& a, const BandTarget& b) { return need(a) < need(b); });
    const double turns = turns_for(request, *most, 1.0);
    if (turns == 0.0) design.status = DesignStatus::too_few_turns;
    design.winding = with_turns(request.winding, turns > 0.0 ? turns : std::floor(request.most_turns));
  }
  const CoilModel model = coil_model(design.winding);
  for (const BandTarget& band : request.bands) {
    design.bands.push_back(design_band(request, model, band));
    const TapChoice& chosen = design.bands.back().chosen();
    if (!chosen.reached) design.status = DesignStatus::too_few_turns;
    if (band.load_ohm.real() > 0.0) design.worst_loss_db = std::max(design.worst_loss_db, tap_loss_db(chosen));
  }
  return design;
}

}  // namespace stile::coil
