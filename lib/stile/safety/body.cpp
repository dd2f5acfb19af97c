#include <stile/safety/body.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/base/quantity.hpp>
#include <stile/safety/detail/rounding.hpp>
#include <stile/wire/alike.hpp>
#include <stile/wire/conditions.hpp>

namespace stile::safety {
namespace {

constexpr double public_whole_body_w_kg = 0.08;
constexpr const char* hand_name = "hand and wrist";

/// The lump through which a limb is joined to what it touches.
struct Limb {
  std::string where;
  std::size_t lump = 0;
};

std::vector<Limb> limbs_of(const wire::WireCase& wires) {
  std::vector<Limb> limbs;
  if (wires.hand) limbs.push_back({hand_name, *wires.hand});
  for (std::size_t l = 0; l < wires.antenna.lumps.size(); ++l) {
    const wire::Wire& wire = wires.antenna.wires[wires.antenna.lumps[l].wire];
    if (!wire.person) continue;
    if (wire.name == "person's left leg") limbs.push_back({"left foot and ankle", l});
    if (wire.name == "person's right leg") limbs.push_back({"right foot and ankle", l});
  }
  return limbs;
}

/// Of the trunk: an arm that touches conducts as its stated contact has it.
double conductivity_of(const wire::WireCase& wires) {
  for (const wire::Wire& w : wires.antenna.wires) {
    if (w.person && w.name == "person's trunk" && w.conductivity_s_m) return *w.conductivity_s_m;
  }
  return wire::PersonBody{}.conductivity_s_m;
}

/// Of the feet, added with their phases.
double both_feet_a_rms(const wire::AntennaSolution& s, std::span<const Limb> limbs, double power_w) {
  cdouble sum{};
  double scale = 0.0;  // from 1 A at the feed to this power
  for (const Limb& limb : limbs) {
    if (limb.where == hand_name) continue;
    sum += s.lump_a[limb.lump];
    if (std::abs(s.lump_a[limb.lump]) > 0.0)
      scale = wire::lump_current_a_rms(s, limb.lump, power_w) / std::abs(s.lump_a[limb.lump]);
  }
  return scale * std::abs(sum);
}

void widen(Range& range, double value) {
  range.low = std::min(range.low, value);
  range.high = std::max(range.high, value);
}

}  // namespace

double limb_sar_w_kg(double current_a_rms, double conductivity_s_m, double stature_m) {
  require(std::isfinite(current_a_rms) && current_a_rms >= 0.0, "current_a_rms must be >= 0");
  require(std::isfinite(conductivity_s_m) && conductivity_s_m > 0.0, "conductivity_s_m must be > 0");
  require(std::isfinite(stature_m) && stature_m > 0.0, "stature_m must be > 0");
  const double scale = stature_m / wire::PersonBody{}.stature_m;
  const double density = current_a_rms / (limb_area_m2 * scale * scale);
  return density * density / (conductivity_s_m * tissue_density_kg_m3);
}

bool goes_with_power(const BodyRow& row) { return row.quantity.rfind("SAR", 0) == 0; }

namespace {

/// Of the power, with which a row of a ratio above 0 meets its level.
double share_that_meets(const BodyRow& row) {
  return 1.0 / (goes_with_power(row) ? *row.ratio : *row.ratio * *row.ratio);
}

}  // namespace

double meets_power_w(const BodyRow& row) {
  require(row.ratio.has_value() && *row.ratio > 0.0,
          "only a row with a ratio above 0 has a power that meets its level");
  return detail::two_figures_down(row.power_w * share_that_meets(row));
}

BodyExposure body_exposure(const ExposureCase& one, double mass_kg, const ExposureOptions& given) {
  require(std::isfinite(mass_kg) && mass_kg > 0.0, "mass_kg must be > 0");
  require(std::isfinite(one.power_w) && one.power_w > 0.0, "power_w must be > 0");
  BodyExposure body;
  body.condition = one.wires.name;
  body.frequency_hz = one.solution.frequency_hz;
  body.power_w = one.power_w;
  body.mass_kg = mass_kg;
  body.enough_mass_kg = one.power_w / public_whole_body_w_kg;
  body.in_model = std::any_of(one.wires.antenna.wires.begin(), one.wires.antenna.wires.end(),
                              [](const wire::Wire& w) { return w.person; });
  if (!body.in_model) return body;
  body.contact = one.wires.hand.has_value();
  const auto person_w = [&](const wire::AntennaSolution& s) { return s.share.person * one.power_w; };
  body.person_w = person_w(one.solution);
  body.person_range_w = {body.person_w, body.person_w};
  body.whole_body_w_kg = body.person_w / mass_kg;

  const double conductivity_s_m = conductivity_of(one.wires);
  const double stature_m = carrier_of(one.wires).stands.stature_m;
  const std::vector<Limb> limbs = limbs_of(one.wires);
  for (const Limb& limb : limbs) {
    const double a = wire::lump_current_a_rms(one.solution, limb.lump, one.power_w);
    const double sar = limb_sar_w_kg(a, conductivity_s_m, stature_m);
    body.limbs.push_back({limb.where, a, {a, a}, sar, {sar, sar}});
  }
  body.both_feet_a_rms = both_feet_a_rms(one.solution, limbs, one.power_w);
  body.both_feet_range_a = {body.both_feet_a_rms, body.both_feet_a_rms};
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  for (const double taller_m : {-wire::person_spread.stature_m, wire::person_spread.stature_m}) {
    const double stature = (stature_m + taller_m) / stature_m;
    std::unique_ptr<const wire::AlikeAntennas> alike;  // conductivity changes no cell
    for (const double c : {1.0 - wire::person_spread.conductivity, 1.0 + wire::person_spread.conductivity}) {
      const wire::WireCase other = with_other_person(one.wires, c, stature);
      wire::AntennaSolution s;
      try {
        if (!alike)
          alike = std::make_unique<const wire::AlikeAntennas>(other.antenna, other.ground, one.solution.frequency_hz,
                                                              options.solve);
        s = alike->solve(other.antenna);
      } catch (const DomainError& error) {
        body.left_out.push_back(fmt::format("a person of {:.4g} m and {:.3g} S/m: {}", stature * stature_m,
                                            c * conductivity_s_m, error.what()));
        continue;
      }
      widen(body.person_range_w, person_w(s));
      widen(body.both_feet_range_a, both_feet_a_rms(s, limbs, one.power_w));
      for (std::size_t n = 0; n < limbs.size(); ++n) {
        const double a = wire::lump_current_a_rms(s, limbs[n].lump, one.power_w);
        widen(body.limbs[n].current_range_a, a);
        widen(body.limbs[n].sar_10g_range_w_kg, limb_sar_w_kg(a, c * conductivity_s_m, stature * stature_m));
      }
    }
  }
  body.whole_body_range_w_kg = {body.person_range_w.low / mass_kg, body.person_range_w.high / mass_kg};
  return body;
}

BodyExposure at_power(BodyExposure body, double to_w) {
  require(body.power_w > 0.0 && std::isfinite(to_w) && to_w > 0.0, "both powers must be > 0");
  const double by_power = to_w / body.power_w, by_root = std::sqrt(by_power);
  const auto scale = [](Range& range, double factor) { range = {factor * range.low, factor * range.high}; };
  body.power_w = to_w;
  body.enough_mass_kg *= by_power;
  body.person_w *= by_power;
  scale(body.person_range_w, by_power);
  body.whole_body_w_kg *= by_power;
  scale(body.whole_body_range_w_kg, by_power);
  for (LimbCurrent& l : body.limbs) {
    l.current_a_rms *= by_root;
    scale(l.current_range_a, by_root);
    l.sar_10g_w_kg *= by_power;
    scale(l.sar_10g_range_w_kg, by_power);
  }
  body.both_feet_a_rms *= by_root;
  scale(body.both_feet_range_a, by_root);
  return body;
}

std::vector<BodyRow> current_rows(const BodyRow& place, double current_a_rms, const ExposureOptions& options,
                                  std::span<const std::string> quantities) {
  std::vector<BodyRow> rows;
  for (const CurrentLevel& l : published_current_levels()) {
    if (place.frequency_hz < l.low_hz || place.frequency_hz > l.high_hz || !counts(options.levels, l.standard) ||
        std::find(quantities.begin(), quantities.end(), l.quantity) == quantities.end())
      continue;
    BodyRow row = place;
    row.standard = l.standard;
    row.scope = l.quantity.find("contact") != std::string::npos ? "contact" : "limb";
    row.quantity = l.quantity + " current";
    row.averaged = l.averaging_s > 0.0;
    row.power_share = mean_power_share(options.duty, l.averaging_s);
    row.value = std::sqrt(row.power_share) * current_a_rms;
    row.status = l.status;
    row.source = l.source;
    row.note = l.note;
    const auto add = [&](const char* group, const std::optional<double>& level) {
      if (!level) return;
      row.group = group;
      row.level = *level;
      row.ratio = *row.value / *level;
      rows.push_back(row);
    };
    add("general public", l.public_a);
    add("occupational", l.occupational_a);
  }
  return rows;
}

std::vector<BodyRow> body_rows(const BodyExposure& body, const ExposureOptions& options) {
  static const std::array<std::string, 4> of_hand{"contact", "touch contact", "grasp contact", "any limb"};
  static const std::array<std::string, 2> of_foot{"any limb", "each foot"};
  static const std::array<std::string, 1> of_feet{"both feet"};
  std::vector<BodyRow> rows;
  if (!body.in_model) return rows;
  BodyRow place;
  place.condition = body.condition;
  place.frequency_hz = body.frequency_hz;
  place.power_w = body.power_w;
  const auto currents = [&](const std::string& where, double a, std::span<const std::string> quantities) {
    place.where = where;
    for (BodyRow& row : current_rows(place, a, options, quantities)) rows.push_back(std::move(row));
  };
  for (const LimbCurrent& limb : body.limbs) {
    currents(limb.where, limb.current_a_rms,
             limb.where == hand_name ? std::span<const std::string>(of_hand) : std::span<const std::string>(of_foot));
  }
  currents("both feet", body.both_feet_a_rms, of_feet);

  for (const SarLimit& l : published_sar_limits()) {
    if (!counts(options.levels, l.standard)) continue;
    const auto both = [&](const std::string& where, const char* scope, const char* quantity,
                          std::optional<double> key_down, const char* note) {
      for (const bool general : {true, false}) {
        BodyRow row = place;
        row.where = where;
        row.standard = l.standard;
        row.group = general ? "general public" : "occupational";
        row.scope = scope;
        row.quantity = quantity;
        const double averaging_s = general ? l.public_averaging_s : l.occupational_averaging_s;
        row.averaged = averaging_s > 0.0;
        row.power_share = mean_power_share(options.duty, averaging_s);
        row.level = general ? l.public_w_kg : l.occupational_w_kg;
        if (key_down) {
          row.value = row.power_share * *key_down;
          row.ratio = *row.value / row.level;
        }
        row.status = l.status;
        row.source = l.source;
        row.note = note;
        rows.push_back(std::move(row));
      }
    };
    if (l.where == "whole body") {
      both("whole body", "whole body", "SAR, whole body", body.whole_body_w_kg, "");
    } else if (const std::size_t in = l.where.find(" in head and trunk"); in != std::string::npos) {
      const std::string mass = l.where.substr(0, in);
      both("head and trunk", mass.c_str(), ("SAR over " + mass).c_str(), {},
           "not computed: the model has no tissue in head and trunk, and the current in a limb says nothing of it");
    } else {
      for (const LimbCurrent& limb : body.limbs)
        both(limb.where, "10 g", "SAR over 10 g, indicative", limb.sar_10g_w_kg, "");
    }
  }
  return rows;
}

std::string body_finding(std::span<const BodyRow> rows) {
  const BodyRow* worst = nullptr;
  double share =
      1.0;  // of the set's power, with which all of them meet their levels: SAR goes with it, a current with its root
  for (const BodyRow& r : rows) {
    if (!r.ratio || !is_public(r.group)) continue;
    // A coil's tap may be the whip's foot but for rounding: of equals the first.
    if (!worst || *r.ratio > (1.0 + 1e-9) * *worst->ratio) worst = &r;
    if (*r.ratio > 1.0) share = std::min(share, share_that_meets(r));
  }
  if (!worst) return "";
  const std::string value = goes_with_power(*worst) ? fmt::format("{:.3g} W/kg", *worst->value)
                                                    : print_quantity(*worst->value, Unit::ampere, 3);
  const std::string where = worst->open_v_rms ? fmt::format("touching {} ({} rms open)", worst->where,
                                                            print_quantity(*worst->open_v_rms, Unit::volt, 3))
                                              : worst->where;
  std::string text = fmt::format("{}: {}, {} the public level of {} of {} ({}, \"{}\")", where, value,
                                 detail::ratio_words(*worst->ratio), worst->quantity, worst->standard,
                                 print_quantity(worst->frequency_hz, Unit::hertz, 5), worst->condition);
  if (*worst->ratio > 1.0)
    text += fmt::format("; to meet it turn the set down to {} into the antenna there",
                        print_quantity(detail::two_figures_down(share * worst->power_w), Unit::watt, 2));
  return text;
}

}  // namespace stile::safety
