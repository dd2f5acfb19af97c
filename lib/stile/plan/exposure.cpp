#include <stile/plan/exposure.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>
#include <variant>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/quantity.hpp>
#include <stile/network/chain.hpp>
#include <stile/plan/detail/coil_places.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/safety/assess.hpp>

namespace stile::plan {
namespace {

/// The highest voltage across a coil in series: between the transmitter's end and its tap.
double series_coil_v_peak(const network::Ladder& ladder, const network::Evaluation& e) {
  double highest = 0.0;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const network::Element& one = ladder.elements[n];
    if (one.place == network::Place::series && std::holds_alternative<network::Inductor>(one.part))
      highest = std::max(highest, e.elements[n].voltage_v_peak);
  }
  return highest;
}

/// The highest of three voltages of an autotransformer: of either tap against ground, and between them. The parts of
/// its ladder are none of the coil's pieces, so that only what stands at their outer ends means something.
double tapped_coil_v_peak(const network::Ladder& ladder, const network::Evaluation& e) {
  const auto cable = [](const network::Element& one) {
    return std::holds_alternative<network::TransmissionLine>(one.part);
  };
  cdouble v = e.z_load_ohm * e.load_current_a, i = e.load_current_a;
  std::optional<cdouble> antenna_tap_v;
  double highest = std::abs(v);
  for (std::size_t n = ladder.elements.size(); n-- > 0;) {
    if (cable(ladder.elements[n])) {
      if (antenna_tap_v) break;
    } else if (!antenna_tap_v) {
      antenna_tap_v = v;
    }
    const network::Chain back = network::chain(ladder.elements[n], e.frequency_hz);
    const cdouble v_before = back.a * v + back.b * i;
    i = back.c * v + back.d * i;
    v = v_before;
  }
  if (antenna_tap_v) highest = std::max({highest, std::abs(*antenna_tap_v), std::abs(v), std::abs(*antenna_tap_v - v)});
  return std::sqrt(2.0) * highest;
}

/// The highest voltage along the coil at the base, open turns too, as Fed says.
double coil_v_peak(const ConditionResult& c, const network::Evaluation& e, const detail::TouchableCoil& coil) {
  if (!c.setting.feed_turns) return std::max(1.0, coil.end_over_tap) * series_coil_v_peak(c.ladder, e);
  const double at_taps = tapped_coil_v_peak(c.ladder, e);
  if (!coil.open_end) return at_taps;
  const safety::CoilPlace& end = coil.places.back();
  const cdouble v = e.z_load_ohm * e.load_current_a;
  return std::max(at_taps, std::sqrt(2.0) * std::abs(end.ratio * v + end.antenna_ohm * e.load_current_a));
}

/// What goes into an antenna, and what then stands across the coil at its base.
struct Fed {
  double power_w = 0.0, coil_v_peak = 0.0;
};

/// At another contact of a hand, of which this is the antenna's impedance. As set for the middle of its range; what is
/// set anew between conditions may be set at that contact, and then no more than the full power gets in.
Fed fed_at_contact(const station::Transmitter& transmitter, const ArrangementResult& arrangement,
                   const ConditionResult& c, cdouble z_ohm, const detail::TouchableCoil& coil) {
  const network::Evaluation e = detail::evaluate_offered(transmitter, c.ladder, c.evaluation.frequency_hz, z_ohm);
  Fed fed{e.power.delivered_w, coil_v_peak(c, e, coil)};
  const bool anew = station::describe_kind(arrangement.kind).automatic || arrangement.trim != station::Trim::once;
  if (!anew) return fed;
  if (fed.power_w > 0.0) fed.coil_v_peak *= std::sqrt(transmitter.source.power_w / fed.power_w);
  fed.power_w = transmitter.source.power_w;
  return fed;
}

/// How an arrangement transmits: as the station does, and with what its tuner is stated to tune.
safety::Duty duty_of(const station::Station& station, const station::Arrangement& arrangement) {
  safety::Duty duty = station.exposure.duty;
  if (arrangement.draw.tune_time_s > 0.0 && arrangement.draw.tunes_per_h > 0.0) {
    duty.tuner_s = arrangement.draw.tune_time_s;
    duty.tuner_every_s = 3600.0 / arrangement.draw.tunes_per_h;
  }
  return duty;
}

/// The arm that touches, through which a contact that is a range is drawn.
std::optional<double>& arm_conductivity(station::StatedWires& wires) {
  return wires.antenna.wires[wires.antenna.lumps[*wires.hand].wire].conductivity_s_m;
}

struct ContactOf {
  double ohm = 0.0;
  station::StatedWires wires;
};

/// Contacts of a hand between the least, the middle and the most of its range, where these are known: of two neighbours
/// the geometric mean, above 0 the half.
std::vector<ContactOf> contacts_between(const station::AntennaLoad& load) {
  std::vector<ContactOf> all;
  if (!load.contact_ohm || !load.solved_from || load.ends.size() != 2 || !load.ends[1].solved_from) return all;
  station::StatedWires middle = *load.solved_from, most = *load.ends[1].solved_from;
  if (!arm_conductivity(middle) || !arm_conductivity(most)) return all;
  const double per_ohm = load.contact_ohm->high * *arm_conductivity(most);  // an arm's resistance is one over it
  const double middle_ohm = per_ohm / *arm_conductivity(middle), low = load.contact_ohm->low;
  for (const double ohm :
       {low > 0.0 ? std::sqrt(low * middle_ohm) : 0.5 * middle_ohm, std::sqrt(middle_ohm * load.contact_ohm->high)}) {
    all.push_back({ohm, most});
    arm_conductivity(all.back().wires) = per_ohm / ohm;
  }
  return all;
}

}  // namespace

std::vector<safety::UseExposure> plan_exposures(const station::Station& station, const Plan& plan,
                                                const std::function<void(const std::string&)>& progress,
                                                unsigned threads) {
  safety::ExposureOptions options;
  options.levels = station.exposure.levels;
  options.duty = station.exposure.duty;
  options.solve = wire::with_tables({});
  options.threads = threads;
  std::vector<safety::ExposureCase> cases;
  std::vector<safety::PoweredUse> uses;
  struct Unfed {  // a use of which the impedance is not known before its case is solved
    std::size_t use = 0;
    const ArrangementResult* arrangement = nullptr;
    const ConditionResult* condition = nullptr;
    detail::TouchableCoil coil;
  };
  std::vector<Unfed> unfed;
  // Of each band, antenna, condition and contact (stated, least, most, between): its case, solved once and only when an
  // arrangement stands on it.
  std::map<std::array<std::size_t, 4>, std::size_t> index;
  const std::vector<BandResult>& bands = plan.bands;
  const auto of_station = [&](const BandResult& b) { return b.arrangements.size() == station.arrangements.size(); };
  require(std::all_of(bands.begin(), bands.end(), of_station), "the plan is of another station");
  std::vector<detail::CoilPlaces> coils;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n)
    coils.emplace_back(station.arrangements[n], plan.windings.at(n));
  for (std::size_t b = 0; b < bands.size(); ++b) {
    const BandResult& band = bands[b];
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const ArrangementResult& arrangement = band.arrangements[n];
      const std::size_t antenna = station.arrangements[n].antenna;
      const safety::Duty duty = duty_of(station, station.arrangements[n]);
      const auto add = [&](const station::StatedWires& wires, const std::array<std::size_t, 4>& place,
                           const std::string& name, const Fed& fed, const detail::TouchableCoil& coil) {
        const auto [known, first] = index.try_emplace(place, cases.size());
        if (first) {
          wire::WireCase one;
          one.name = name;
          one.antenna = wires.antenna;
          one.ground = wires.ground;
          one.carried = wires.carried;
          one.hand = wires.hand;
          cases.push_back({std::move(one), {}, 1.0});
          cases.back().solution.frequency_hz = band.band.design_hz;
        }
        uses.push_back(
            {band.band.name, arrangement.name, known->second, fed.power_w, fed.coil_v_peak, duty, coil.places});
      };
      for (std::size_t c = 0; c < arrangement.conditions.size(); ++c) {
        const station::AntennaLoad& load = station.antennas.at(antenna).loads.at(c);
        const ConditionResult& result = arrangement.conditions[c];
        if (!load.solved_from || !result.possible) continue;
        const detail::TouchableCoil coil = coils[n].at(result);
        const double f = result.evaluation.frequency_hz;
        const auto with_contact = [&](double ohm) {
          return fmt::format("{}, {} of hand and arm", result.condition, print_quantity(ohm, Unit::ohm, 3));
        };
        add(*load.solved_from, {b, antenna, c, 0}, result.condition,
            {result.evaluation.power.delivered_w, coil_v_peak(result, result.evaluation, coil)}, coil);
        for (std::size_t end = 0; end < load.ends.size(); ++end) {
          if (!load.ends[end].solved_from) continue;
          const double ohm = end == 0 ? load.contact_ohm->low : load.contact_ohm->high;
          add(*load.ends[end].solved_from, {b, antenna, c, end + 1}, with_contact(ohm),
              fed_at_contact(station.transmitter, arrangement, result, load::load_impedance(load.ends[end].load, f),
                             coil),
              coil);
        }
        std::size_t place = load.ends.size();
        for (const ContactOf& between : contacts_between(load)) {
          add(between.wires, {b, antenna, c, ++place}, with_contact(between.ohm), {}, coil);
          unfed.push_back({uses.size() - 1, &arrangement, &result, coil});
        }
      }
    }
  }
  if (cases.empty()) return {};
  if (progress) progress(fmt::format("fields at people: {} antennas", cases.size()));
  in_blocks(cases.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) {
      safety::ExposureCase& one = cases[n];
      one.solution = wire::solve_antenna(one.wires.antenna, one.wires.ground, one.solution.frequency_hz, options.solve);
    }
  });
  for (const Unfed& u : unfed) {
    safety::PoweredUse& use = uses[u.use];
    const Fed fed =
        fed_at_contact(station.transmitter, *u.arrangement, *u.condition, cases[use.antenna].solution.feed_ohm, u.coil);
    use.power_w = fed.power_w;
    use.coil_v_peak = fed.coil_v_peak;
  }
  return safety::use_exposures(cases, uses, options, station.exposure.body);
}

std::vector<std::string> taken_findings(const Plan& plan) {
  std::vector<safety::Verdict> taken;
  std::vector<safety::BodyRow> rows;
  for (const BandResult& band : plan.bands) {
    if (!band.taken) continue;
    for (const safety::UseExposure& u : plan.exposures) {
      if (u.band != band.band.name || u.arrangement != band.arrangements[*band.taken].name) continue;
      taken.insert(taken.end(), u.verdicts.begin(), u.verdicts.end());
      rows.insert(rows.end(), u.body_rows.begin(), u.body_rows.end());
    }
  }
  return safety::public_findings(taken, rows);
}

}  // namespace stile::plan
