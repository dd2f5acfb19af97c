#include <stile/safety/cautions.hpp>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/quantity.hpp>

namespace stile::safety {
namespace {

Caution base_voltage(const CautionCase& facts) {
  std::string text =
      "Never touch whip, coil or taps while the transmitter is keyed, and insulate them: RF burns go deep.";
  std::string basis =
      "common practice; heating by small-area contact: Tell and Tell, BioMedical Engineering OnLine 17, 2018";
  std::string line = "never touch whip, coil or taps while the transmitter is keyed, and insulate them";
  if (facts.load_voltage_v_peak > 0.0) {
    line = fmt::format("up to {} peak at the antenna's terminals: never touch whip, coil or taps while keyed",
                       print_quantity(facts.load_voltage_v_peak, Unit::volt, 3));
    text = fmt::format("Up to {} peak with this transmitter of {} at the antenna's terminals{}{}. {}",
                       print_quantity(facts.load_voltage_v_peak, Unit::volt, 3),
                       print_quantity(facts.power_w, Unit::watt, 3), facts.load_voltage_where.empty() ? "" : ": ",
                       facts.load_voltage_where, text);
    basis = "voltage computed for this case, key down; " + basis;
  }
  return {"RF burn", text, basis, line};
}

Caution exposure(const CautionCase& facts) {
  std::string text =
      "Next to a short whip the field follows the base current, not the radiated power; a far-field distance "
      "is too short there. ";
  std::string basis = "common practice; reactive field within lambda/(2 pi)";
  if (facts.power_w > 0.0) {
    // Whole-body restriction of the public, 0.08 W/kg.
    const double mass_kg = facts.power_w / 0.08;
    text +=
        mass_kg <= 75.0
            ? fmt::format(
                  "{} cannot heat a whole body above 0.08 W/kg when it has more than {:.4g} kg, but hands, eyes "
                  "and the skin at a contact have their own limits. ",
                  print_quantity(facts.power_w, Unit::watt, 3), mass_kg)
            : fmt::format("{} can exceed the public restriction on the whole body, 0.08 W/kg, in a body of less than "
                          "{:.4g} kg that takes all of it: evaluate it. ",
                          print_quantity(facts.power_w, Unit::watt, 3), mass_kg);
    basis += "; 0.08 W/kg: 47 CFR 1.1310(c)";
  }
  text += "Keep head and back as far from the whip and its base as the pack allows, use the least power, keep overs "
          "short; implants: ask a physician first.";
  if (!facts.findings.empty()) text += " Computed for this antenna: ";
  for (std::size_t n = 0; n < facts.findings.size(); ++n) text += (n > 0 ? "; " : "") + facts.findings[n];
  if (!facts.findings.empty())
    text +=
        ". A reference level exceeded is not a basic restriction exceeded; local codes and licensed practice decide.";
  if (facts.frequency_hz > 0.0) {
    text += fmt::format(" The near field reaches out to about {} at {}.",
                        print_quantity(speed_of_light_m_s / (two_pi * facts.frequency_hz), Unit::metre, 2),
                        print_quantity(facts.frequency_hz, Unit::hertz, 3));
  }
  if (facts.frequency_hz > 0.0 && facts.frequency_hz < 10e6) {
    text += " Below 10 MHz some levels are not averaged in time: a low duty does not help.";
    basis += "; ICNIRP, Health Physics 118(5), 2020, Table 8 (read second-hand)";
  }
  return {"exposure", text, basis,
          "beside a short whip a far-field distance is too short: head and back away, least power, short overs"};
}

Caution tuning(const CautionCase& facts) {
  std::string text =
      "A tune carrier is full duty: the worst case for exposure and for heat. Tune at reduced power and briefly.";
  if (facts.automatic_tuner) {
    text += " Lock the tuner before you transmit: relays that switch under power burn, and a search can start while "
            "you talk.";
  }
  return {"tune carrier", text, "duty 100 %: FCC OET Bulletin 65 Supplement B, 1997, Table 2; relays: common practice"};
}

}  // namespace

std::vector<Caution> cautions(const CautionCase& facts) {
  std::vector<Caution> all{base_voltage(facts), exposure(facts), tuning(facts)};
  all.push_back(
      {"touch by others",
       "Keep people and animals off the whip and the trailing wire while keyed; the far end of a wire is a voltage "
       "maximum. Do not transmit when you cannot see its end; use a joint that pulls apart.",
       "common practice"});
  all.push_back(
      {"overhead lines",
       "Look up before you raise or carry a whip or pole: treat every line as live and stay at least 30 m away. Wet "
       "glass fibre and all carbon fibre conduct.",
       "30 m: Energy Networks Association (UK), guidance for anglers near overhead lines, 2016 (read second-hand)"});
  all.push_back({"lightning",
                 "At the first thunder, buzzing or rising hiss take the whip down and leave the ridge; wait 30 minutes "
                 "after the last thunder.",
                 "common outdoor advice, from memory"});
  if (facts.whip_on_body) {
    std::string text =
        "A whip or pole on a pack pulls in gusts and snags: take sections down from Beaufort 5-6, stop to operate "
        "near edges, roads and water. Fuse the battery at its terminal.";
    for (const std::string& words : facts.wind) text += " Computed: " + words + ".";
    all.push_back({"falls and wind", text,
                   facts.wind.empty() ? "common practice; a 6 m pole at Beaufort 6: about 43 N m at its foot (derived)"
                                      : "common practice; drag of cylinders: EN 1991-1-4 fig. 7.28 (from memory)"});
  }
  all.push_back({"local rules",
                 "Licence conditions, exposure rules and site rules of the place decide, not this output.",
                 "common practice", "licence, exposure rules and site rules of the place decide, not this output"});
  return all;
}

}  // namespace stile::safety
