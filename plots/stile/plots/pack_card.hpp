#pragma once
// The card that goes onto the frame: what to set on each band, in large print.

#include <string>
#include <vector>

#include <stile/plots/drawing.hpp>

namespace stile::plots {

/// One setting and when it is used.
struct CardSetting {
  std::string when;  ///< "lifted, on heather"; empty: always
  std::string set;   ///< "tap 73, rest open"
  std::string swr;   ///< to expect, with its spread: "1.3 to 1.8"
};

struct CardBand {
  std::string band;                   ///< "80 m"
  std::string take;                   ///< the arrangement
  std::vector<CardSetting> settings;  ///< not empty
  std::string figures;                ///< power in and out, volts at the base, in one short line
};

struct PackCard {
  std::string title;
  std::string wires;  ///< their lengths; empty: not known
  std::vector<CardBand> bands;
  std::vector<std::string> cautions;  ///< short ones; the first is on both pages
  std::string program;                ///< that computed it, with its version
};

/// Two pages: A6 (105 x 148 mm), and the size of a bank card (85.6 x 54 mm, ISO/IEC 7810 ID-1) with a line for each
/// band. The type is as large as what is to be said allows; settings that do not fit at its smallest (1.7 mm) are
/// counted on the card instead of shown.
/// @throws DomainError  no band, or a band without settings
/// @throws Error        no font is installed
std::vector<Drawing> pack_card(const PackCard& card);

}  // namespace stile::plots
