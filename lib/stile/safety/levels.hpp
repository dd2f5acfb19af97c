#pragma once
// Published reference levels of field, body current and SAR, as data: what they say, where, and how that was read.

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace stile::safety {

/// What a number was taken from.
///   "official text seen"  a verbatim transcription of the official document
///   "seen second-hand"    a textbook, an article, a transcription of the table
///   "from memory"         not seen: check before relying on it
///   "derived"             computed from other numbers here
///   "common practice"     no source
/// A row may join two of them with a comma.
using Status = std::string;

/// constant * f^-power with f in MHz, as standards print it ("824/f", "300/f^0.7").
struct Formula {
  double constant = 0.0;
  double power = 0.0;
};

/// @param frequency_hz  > 0
double value_at(const Formula& formula, double frequency_hz);

/// One row of a table of reference levels, rms.
struct Level {
  std::string standard;  ///< "47 CFR 1.1310", "ICNIRP 2020", "ICNIRP 1998", "IEEE C95.1-2019", "Safety Code 6 (2015)",
                         ///< or a local code's
  std::string group;     ///< "general public" or "occupational"; IEEE "unrestricted" or "restricted"
  std::string scope;     ///< "whole body", "local" or "not averaged"
  double low_hz = 0.0;   ///< edges of the band as printed, both included
  double high_hz = 0.0;
  std::optional<Formula> e_v_m;
  std::optional<Formula> h_a_m;
  std::optional<Formula> s_w_m2;  ///< power density, below 30 MHz at most the equivalent of a plane wave
  double averaging_s = 0.0;       ///< over which squares of the field are averaged; 0: not averaged in time
  Status status;
  std::string source;
  std::string note;
};

/// Those of the five standards, in the order of their names above; see published_levels_table.
/// Source: each row names its own.
const std::vector<Level>& published_levels();

/// Reads a table of levels, as published_levels_table has it: comma-separated, with the columns standard, group, scope,
/// low_mhz, high_mhz, e_v_m, h_a_m, s_w_m2 (numbers, "824/f" or "300/f^0.7", f in MHz; empty: none), averaging_min (0:
/// not averaged), status, source, note. A local code is added in a file of this form.
///
/// @throws ParseError  no row, a cell that cannot be read, another group or scope, an edge not above 0 or below the
///                     other, a level not above 0, neither E nor H, an averaging time that does not agree with the
///                     scope
std::vector<Level> read_levels(const std::string& text, const std::string& file);

/// The text from which published_levels are read.
const char* published_levels_table();

/// What one standard says to one group in one scope at a frequency.
struct LevelAt {
  std::string standard, group, scope;
  std::optional<double> e_v_m, h_a_m, s_w_m2;
  double averaging_s = 0.0;
  Status status;
  std::string source, note;
};

/// The larger of E/level and H/level, times the root of the power's share.
double field_ratio(const LevelAt& level, double e_v_m, double h_a_m, double power_share);

/// In the order of the table; what a table does not say at this frequency is left out. At an edge that two rows share
/// the lower level counts, of E and of H.
std::vector<LevelAt> levels_at(std::span<const Level> levels, double frequency_hz);

struct StandardGroup {
  std::string standard, group;
};

/// Those of the table that say nothing of fields at this frequency, in its order.
std::vector<StandardGroup> without_level(std::span<const Level> levels, double frequency_hz);

/// The chosen standards' levels, in the table's order.
/// @throws DomainError  a name that no row has (the message lists those there are)
std::vector<Level> levels_of(std::span<const Level> levels, std::span<const std::string> standards);

/// Whether levels of current and restrictions on SAR of this standard count beside these levels of fields: where it is
/// among them. ICNIRP 2010, which has no levels of fields here, counts beside ICNIRP 1998 and 2020.
bool counts(std::span<const Level> levels, const std::string& standard);

/// Whether the group is the public's: "general public" or "unrestricted".
bool is_public(const std::string& group);

/// Distance below which 47 CFR 1.1310 does not use its field levels: a set whose radiating part is nearer to a body is
/// portable, and SAR limits apply. Source: 47 CFR 1.1310(b) to (d) and OET Bulletin 65 Supplement B, 1997, note 7
/// (official text seen).
inline constexpr double portable_distance_m = 0.2;
bool has_portable_rule(const std::string& standard);

/// A published level of the current in contact or limb, rms.
struct CurrentLevel {
  std::string standard;
  std::string quantity;  ///< "contact", "touch contact", "grasp contact", "any limb", "each foot", "both feet"
  double low_hz = 0.0, high_hz = 0.0;
  std::optional<double> public_a, occupational_a;  ///< none: none is set, the note says how
  double averaging_s = 0.0;                        ///< 0: not averaged, or not known
  Status status;
  std::string source, note;
};

/// Also those standards that set none, so that a reader sees it.
const std::vector<CurrentLevel>& published_current_levels();

/// What the counting standards that set no level of current at a frequency say instead, a line each.
std::vector<std::string> without_current_level(std::span<const Level> levels, double frequency_hz);

/// A basic restriction on SAR.
struct SarLimit {
  std::string standard;
  std::string
      where;  ///< "whole body", "10 g in hand, wrist, foot, ankle", "1 g in head and trunk" or "10 g in head and trunk"
  double public_w_kg = 0.0, occupational_w_kg = 0.0;
  double public_averaging_s = 0.0, occupational_averaging_s = 0.0;
  Status status;
  std::string source;
};

const std::vector<SarLimit>& published_sar_limits();

/// A fact about contact with something that carries RF.
struct ContactFact {
  std::string fact;
  std::string value;  ///< may be empty
  Status status;
  std::string source;
};

const std::vector<ContactFact>& contact_facts();

}  // namespace stile::safety
