#pragma once
// The customary cautions, with the figures of the case at hand. Every output carries them.

#include <string>
#include <vector>

namespace stile::safety {

/// What the cautions are about. A value of 0 means "not known" and leaves its figure out.
struct CautionCase {
  double power_w = 0.0;              ///< transmitter power, key down
  double load_voltage_v_peak = 0.0;  ///< highest voltage across the load's terminals (the whip's base)
  std::string load_voltage_where;    ///< "80 m, lifted": band and condition of that voltage
  double frequency_hz = 0.0;         ///< the lowest frequency used
  bool automatic_tuner = false;
  bool whip_on_body = false;               ///< the whip is carried (a pack); otherwise the general wording
  std::vector<std::string> findings = {};  ///< verdicts of an evaluation of this very antenna, a line each
  std::vector<std::string> wind = {};      ///< wind_words of what is carried, a line an antenna
};

struct Caution {
  std::string hazard;  ///< a few words
  std::string text;    ///< one or two sentences
  std::string basis;   ///< where the figure or rule comes from
  /// The caution in at most 110 characters, where it is one of those that also stand under a short result: RF burn,
  /// exposure, local rules. Empty otherwise.
  std::string line = {};
};

/// The cautions of a case, most urgent first. They inform; local rules and a licensed operator's judgement decide.
std::vector<Caution> cautions(const CautionCase& facts);

}  // namespace stile::safety
