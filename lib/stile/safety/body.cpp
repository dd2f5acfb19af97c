#include <stile/safety/body.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/wire/conditions.hpp>

namespace stile::safety {
namespace {

constexpr double usual_stature_m = 1.75, usual_conductivity_s_m = 0.6, public_whole_body_w_kg = 0.08;

/// The lump through which a limb is joined to what it touches.
struct Limb {
  std::string where;
  std::size_t lump = 0;
  bool hand = false;
};

std::vector<Limb> limbs_of(const wire::WireCase& wires) {
  std::vector<Limb> limbs;
  if (wires.hand) limbs.push_back({"hand and wrist", *wires.hand, true});
  for (std::size_t l = 0; l < wires.antenna.lumps.size(); ++l) {
    const wire::Wire& wire = wires.antenna.wires[wires.antenna.lumps[l].wire];
    if (!wire.person) continue;
    if (wire.name == "person's left leg") limbs.push_back({"left foot and ankle", l, false});
    if (wire.name == "person's right leg") limbs.push_back({"right foot and ankle", l, false});
  }
  return limbs;
}

void widen(Range& range, double value) {
  range.low = std::min(range.low, value);
  range.high = std::max(range.high, value);
}

void add_rows(BodyExposure& body, const Duty& duty) {
  const auto add = [&](const std::string& where, const std::string& standard, const char* group,
                       const std::string& quantity, double value, double level, const std::string& status,
                       const std::string& source) {
    body.rows.push_back({where, standard, group, quantity, value, level, value / level, status, source});
  };
  for (const CurrentLevel& l : published_current_levels()) {
    if (body.frequency_hz < l.low_hz || body.frequency_hz > l.high_hz) continue;
    const double share = mean_power_share(duty, l.averaging_s);
    for (const LimbCurrent& limb : body.limbs) {
      const bool hand = limb.where == "hand and wrist", contact = l.quantity.find("contact") != std::string::npos;
      if (l.quantity == "both feet" || (contact && !hand) || (l.quantity == "each foot" && hand)) continue;
      const double value = std::sqrt(share) * limb.current_a_rms;
      if (l.public_a)
        add(limb.where, l.standard, "general public", l.quantity + " current", value, *l.public_a, l.status, l.source);
      if (l.occupational_a)
        add(limb.where, l.standard, "occupational", l.quantity + " current", value, *l.occupational_a, l.status,
            l.source);
    }
  }
  for (const SarLimit& l : published_sar_limits()) {
    const auto both = [&](const std::string& where, const char* quantity, double key_down) {
      add(where, l.standard, "general public", quantity, mean_power_share(duty, l.public_averaging_s) * key_down,
          l.public_w_kg, l.status, l.source);
      add(where, l.standard, "occupational", quantity, mean_power_share(duty, l.occupational_averaging_s) * key_down,
          l.occupational_w_kg, l.status, l.source);
    };
    if (l.where == "whole body") {
      both("whole body", "SAR, whole body", body.whole_body_w_kg);
      continue;
    }
    for (const LimbCurrent& limb : body.limbs) both(limb.where, "SAR over 10 g, indicative", limb.sar_10g_w_kg);
  }
}

}  // namespace

double limb_sar_w_kg(double current_a_rms, double conductivity_s_m, double stature_m) {
  require(std::isfinite(current_a_rms) && current_a_rms >= 0.0, "current_a_rms must be >= 0");
  require(std::isfinite(conductivity_s_m) && conductivity_s_m > 0.0, "conductivity_s_m must be > 0");
  require(std::isfinite(stature_m) && stature_m > 0.0, "stature_m must be > 0");
  const double scale = stature_m / usual_stature_m, density = current_a_rms / (limb_area_m2 * scale * scale);
  return density * density / (conductivity_s_m * tissue_density_kg_m3);
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
  // What heats the contact itself heats the skin: the hand's lump counts as the person's.
  const auto person_w = [&](const wire::AntennaSolution& s) {
    double w = s.share.person * one.power_w;
    if (one.wires.hand) {
      const double a = wire::lump_current_a_rms(s, *one.wires.hand, one.power_w);
      w += a * a * one.wires.antenna.lumps[*one.wires.hand].resistance_ohm;
    }
    return w;
  };
  body.person_w = person_w(one.solution);
  body.person_range_w = {body.person_w, body.person_w};
  body.whole_body_w_kg = body.person_w / mass_kg;

  const double conductivity = usual_conductivity_s_m;
  const double stature_m = carrier_of(one.wires).stands.stature_m;
  for (const Limb& limb : limbs_of(one.wires)) {
    const double a = wire::lump_current_a_rms(one.solution, limb.lump, one.power_w);
    const double sar = limb_sar_w_kg(a, conductivity, stature_m);
    body.limbs.push_back({limb.where, a, {a, a}, sar, {sar, sar}});
  }
  ExposureOptions options = given;
  options.solve = wire::with_tables(given.solve);
  const std::vector<Limb> limbs = limbs_of(one.wires);
  for (const double c : {1.0 - wire::person_spread.conductivity, 1.0 + wire::person_spread.conductivity}) {
    for (const double taller_m : {-wire::person_spread.stature_m, wire::person_spread.stature_m}) {
      const double stature = (stature_m + taller_m) / stature_m;
      const wire::WireCase other = with_other_person(one.wires, c, stature);
      const wire::AntennaSolution s =
          wire::solve_antenna(other.antenna, other.ground, one.solution.frequency_hz, options.solve);
      widen(body.person_range_w, person_w(s));
      for (std::size_t n = 0; n < limbs.size(); ++n) {
        const double a = wire::lump_current_a_rms(s, limbs[n].lump, one.power_w);
        widen(body.limbs[n].current_range_a, a);
        widen(body.limbs[n].sar_10g_range_w_kg, limb_sar_w_kg(a, c * conductivity, stature * stature_m));
      }
    }
  }
  add_rows(body, options.duty);
  return body;
}

}  // namespace stile::safety
