#include <stile/safety/levels.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/quantity.hpp>
#include <stile/base/table.hpp>

namespace stile::safety {
namespace {

constexpr double mhz = 1e6, minute_s = 60.0;

const Cell& cell_of(const Table& table, std::size_t row, std::string_view column) {
  return table.rows[row][table.column(column)];
}

std::optional<Formula> read_formula(const Cell& cell) {
  if (cell.text.empty()) return {};
  const std::size_t over = cell.text.find("/f");
  Formula f{read_quantity(std::string_view(cell.text).substr(0, over), Unit::one, cell.where), 0.0};
  if (over != std::string::npos) {
    const std::string_view rest = std::string_view(cell.text).substr(over + 2);
    f.power = 1.0;
    if (!rest.empty()) {
      if (rest.front() != '^')
        throw ParseError(cell.where,
                         fmt::format("\"{}\" is no level; legal: a number, 824/f or 300/f^0.7, f in MHz", cell.text));
      f.power =
          read_quantity(rest.substr(1), Unit::one, {cell.where.file, cell.where.line, cell.where.column + over + 3});
    }
  }
  if (!(f.constant > 0.0))
    throw ParseError(cell.where, fmt::format("a level of {:.4g} cannot be; legal: > 0", f.constant));
  return f;
}

std::string one_of(const Cell& cell, std::initializer_list<std::string_view> legal) {
  if (std::find(legal.begin(), legal.end(), cell.text) == legal.end())
    throw ParseError(cell.where, fmt::format("\"{}\" is not known here; legal: {}", cell.text, fmt::join(legal, ", ")));
  return cell.text;
}

Level read_level(const Table& table, std::size_t row) {
  const auto cell = [&](std::string_view column) -> const Cell& { return cell_of(table, row, column); };
  Level l;
  l.standard = cell("standard").text;
  if (l.standard.empty()) throw ParseError(cell("standard").where, "a level needs the name of its standard");
  l.group = one_of(cell("group"), {"general public", "occupational", "unrestricted", "restricted"});
  l.scope = one_of(cell("scope"), {"whole body", "local", "not averaged"});
  l.low_hz = mhz * table.number(row, "low_mhz");
  l.high_hz = mhz * table.number(row, "high_mhz");
  if (!(l.low_hz > 0.0 && l.low_hz < l.high_hz))
    throw ParseError(cell("low_mhz").where, fmt::format("the band {:.6g} to {:.6g} MHz is none; legal: 0 < low < high",
                                                        l.low_hz / mhz, l.high_hz / mhz));
  l.e_v_m = read_formula(cell("e_v_m"));
  l.h_a_m = read_formula(cell("h_a_m"));
  l.s_w_m2 = read_formula(cell("s_w_m2"));
  if (!l.e_v_m && !l.h_a_m) throw ParseError(cell("e_v_m").where, "a row needs a level of E or of H");
  l.averaging_s = minute_s * table.number(row, "averaging_min");
  if (l.averaging_s < 0.0 || (l.averaging_s == 0.0) != (l.scope == "not averaged"))
    throw ParseError(
        cell("averaging_min").where,
        "the averaging time does not agree with the scope; legal: 0 where it is \"not averaged\", else > 0");
  l.status = cell("status").text;
  l.source = cell("source").text;
  l.note = cell("note").text;
  return l;
}

std::optional<double> lower(std::optional<double> a, std::optional<double> b) {
  if (!a || !b) return a ? a : b;
  return std::min(*a, *b);
}

std::optional<double> value_of(const std::optional<Formula>& formula, double frequency_hz) {
  if (!formula) return {};
  return value_at(*formula, frequency_hz);
}

}  // namespace

double value_at(const Formula& formula, double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  return formula.power == 0.0 ? formula.constant : formula.constant / std::pow(frequency_hz / mhz, formula.power);
}

std::vector<Level> read_levels(const std::string& text, const std::string& file) {
  const Table table = read_table(text, file);
  std::vector<Level> levels;
  for (std::size_t row = 0; row < table.rows.size(); ++row) levels.push_back(read_level(table, row));
  if (levels.empty())
    throw ParseError(
        {file, 0, 0},
        "there is no level in it; legal: a heading with the columns of the published table, and a row a level");
  return levels;
}

const std::vector<Level>& published_levels() {
  static const std::vector<Level> levels = read_levels(published_levels_table(), "published levels");
  return levels;
}

double field_ratio(const LevelAt& level, double e_v_m, double h_a_m, double power_share) {
  double ratio = 0.0;
  if (level.e_v_m) ratio = std::max(ratio, e_v_m / *level.e_v_m);
  if (level.h_a_m) ratio = std::max(ratio, h_a_m / *level.h_a_m);
  return std::sqrt(power_share) * ratio;
}

std::vector<LevelAt> levels_at(std::span<const Level> levels, double frequency_hz) {
  std::vector<LevelAt> found;
  for (const Level& l : levels) {
    if (frequency_hz < l.low_hz || frequency_hz > l.high_hz) continue;
    LevelAt at{l.standard,
               l.group,
               l.scope,
               value_of(l.e_v_m, frequency_hz),
               value_of(l.h_a_m, frequency_hz),
               value_of(l.s_w_m2, frequency_hz),
               l.averaging_s,
               l.status,
               l.source,
               l.note};
    const auto same = std::find_if(found.begin(), found.end(), [&](const LevelAt& o) {
      return o.standard == at.standard && o.group == at.group && o.scope == at.scope;
    });
    if (same == found.end()) {
      found.push_back(std::move(at));
      continue;
    }
    same->e_v_m = lower(same->e_v_m, at.e_v_m);
    same->h_a_m = lower(same->h_a_m, at.h_a_m);
    same->s_w_m2 = lower(same->s_w_m2, at.s_w_m2);
    if (at.status != same->status) same->status += ", " + at.status;
  }
  return found;
}

std::vector<StandardGroup> without_level(std::span<const Level> levels, double frequency_hz) {
  const std::vector<LevelAt> at = levels_at(levels, frequency_hz);
  std::vector<StandardGroup> silent;
  for (const Level& l : levels) {
    const auto same = [&](const auto& o) { return o.standard == l.standard && o.group == l.group; };
    if (std::none_of(at.begin(), at.end(), same) && std::none_of(silent.begin(), silent.end(), same))
      silent.push_back({l.standard, l.group});
  }
  return silent;
}

std::vector<Level> levels_of(std::span<const Level> levels, std::span<const std::string> standards) {
  std::vector<std::string> names;
  for (const Level& l : levels) {
    if (std::find(names.begin(), names.end(), l.standard) == names.end()) names.push_back(l.standard);
  }
  for (const std::string& s : standards) {
    if (std::find(names.begin(), names.end(), s) == names.end())
      throw DomainError(fmt::format("there is no standard \"{}\"; legal: {}", s, fmt::join(names, ", ")));
  }
  std::vector<Level> chosen;
  for (const Level& l : levels) {
    if (std::find(standards.begin(), standards.end(), l.standard) != standards.end()) chosen.push_back(l);
  }
  return chosen;
}

bool counts(std::span<const Level> levels, const std::string& standard) {
  return std::any_of(levels.begin(), levels.end(), [&](const Level& l) {
    return l.standard == standard ||
           (standard == "ICNIRP 2010" && (l.standard == "ICNIRP 1998" || l.standard == "ICNIRP 2020"));
  });
}

bool is_public(const std::string& group) { return group == "general public" || group == "unrestricted"; }

bool has_portable_rule(const std::string& standard) { return standard == "47 CFR 1.1310"; }

const std::vector<CurrentLevel>& published_current_levels() {
  static const std::string lin = "ICNIRP, Health Physics 99(6):818-836, 2010, contact currents, as reprinted in Lin, "
                                 "Bioelectromagnetism, Table 7.4";
  static const std::string of_1998 = "ICNIRP, Health Physics 74(4):494-522, 1998, Tables 8 and 9";
  static const std::string of_2020 = "ICNIRP, Health Physics 118(5):483-524, 2020, Table 9";
  static const std::string ieee = "IEEE Std C95.1-2019, Table 14";
  static const std::vector<CurrentLevel> levels{
      {"ICNIRP 2010", "contact", 0.1e6, 10e6, 0.020, 0.040, 0.0, "seen second-hand", lin,
       "point contact with a conductive object"},
      {"ICNIRP 1998", "contact", 0.1e6, 110e6, 0.020, 0.040, 0.0, "from memory", of_1998,
       "same values as those of 2010 below 10 MHz"},
      {"ICNIRP 1998", "any limb", 10e6, 110e6, 0.045, 0.100, 360.0, "seen second-hand, from memory", of_1998,
       "45 mA seen second-hand (EU recommendation 1999/519/EC), 100 mA from memory"},
      {"ICNIRP 2020", "any limb", 0.1e6, 110e6, 0.045, 0.100, 360.0, "from memory", of_2020, ""},
      {"ICNIRP 2020",
       "contact",
       0.1e6,
       110e6,
       {},
       {},
       0.0,
       "seen second-hand, from memory",
       "ICNIRP, Health Physics 118(5):483-524, 2020",
       "no restriction, guidance only; from memory: mild pain near 10 mA (child) and 20 mA (adult)"},
      {"IEEE C95.1-2019", "touch contact", 0.1e6, 110e6, 0.0167, 0.050, 360.0, "seen second-hand, from memory", ieee,
       "16.7 mA seen second-hand; 50 mA and averaging from memory"},
      {"IEEE C95.1-2019",
       "grasp contact",
       0.1e6,
       110e6,
       {},
       0.100,
       360.0,
       "from memory",
       ieee,
       "a value for persons in restricted environments only"},
      {"IEEE C95.1-2019", "each foot", 0.1e6, 110e6, 0.045, 0.100, 360.0, "from memory", ieee, ""},
      {"IEEE C95.1-2019", "both feet", 0.1e6, 110e6, 0.090, 0.200, 360.0, "from memory", ieee, ""},
      {"47 CFR 1.1310",
       "contact",
       0.3e6,
       100e9,
       {},
       {},
       0.0,
       "official text seen",
       "47 CFR 1.1310",
       "the text names no level of contact or induced current"}};
  return levels;
}

std::vector<std::string> without_current_level(std::span<const Level> levels, double frequency_hz) {
  std::vector<std::string> lines, seen;
  for (const Level& level : levels) {
    if (std::find(seen.begin(), seen.end(), level.standard) != seen.end()) continue;
    seen.push_back(level.standard);
    std::string none = "no level of current is known here";
    bool sets_one = false;
    for (const CurrentLevel& l : published_current_levels()) {
      if (l.standard != level.standard || frequency_hz < l.low_hz || frequency_hz > l.high_hz) continue;
      if (l.public_a || l.occupational_a)
        sets_one = sets_one || l.quantity.find("contact") != std::string::npos;
      else
        none = l.note + " (" + l.status + ")";
    }
    if (!sets_one) lines.push_back(level.standard + ", contact current: " + none);
  }
  return lines;
}

const std::vector<SarLimit>& published_sar_limits() {
  static const char *const limb = "10 g in hand, wrist, foot, ankle", *const trunk_1g = "1 g in head and trunk",
                           *const trunk_10g = "10 g in head and trunk";
  static const std::string cfr =
      "47 CFR 1.1310(b) to (d) and OET Bulletin 65 Supplement B, 1997, note 7; averaging times, 6 min occupational "
      "and 30 min general, read in a copy of 47 CFR 1.1310(b) and (c)";
  static const std::vector<SarLimit> limits{
      {"47 CFR 1.1310", "whole body", 0.08, 0.4, 1800.0, 360.0, "official text seen, seen second-hand", cfr},
      {"47 CFR 1.1310", limb, 4.0, 20.0, 1800.0, 360.0, "official text seen, seen second-hand", cfr},
      {"47 CFR 1.1310", trunk_1g, 1.6, 8.0, 1800.0, 360.0, "official text seen, seen second-hand", cfr},
      {"ICNIRP 2020", "whole body", 0.08, 0.4, 1800.0, 1800.0, "from memory",
       "ICNIRP, Health Physics 118(5):483-524, 2020"},
      {"ICNIRP 2020", limb, 4.0, 20.0, 360.0, 360.0, "from memory", "ICNIRP, Health Physics 118(5):483-524, 2020"},
      {"ICNIRP 2020", trunk_10g, 2.0, 10.0, 360.0, 360.0, "from memory", "ICNIRP, Health Physics 118(5):483-524, 2020"},
      {"ICNIRP 1998", "whole body", 0.08, 0.4, 360.0, 360.0, "from memory",
       "ICNIRP, Health Physics 74(4):494-522, 1998"},
      {"ICNIRP 1998", limb, 4.0, 20.0, 360.0, 360.0, "from memory", "ICNIRP, Health Physics 74(4):494-522, 1998"},
      {"ICNIRP 1998", trunk_10g, 2.0, 10.0, 360.0, 360.0, "from memory", "ICNIRP, Health Physics 74(4):494-522, 1998"},
      {"IEEE C95.1-2019", "whole body", 0.08, 0.4, 1800.0, 1800.0, "from memory", "IEEE Std C95.1-2019"},
      {"IEEE C95.1-2019", limb, 4.0, 20.0, 360.0, 360.0, "from memory", "IEEE Std C95.1-2019"},
      {"IEEE C95.1-2019", trunk_10g, 2.0, 10.0, 360.0, 360.0, "from memory", "IEEE Std C95.1-2019"},
      {"Safety Code 6 (2015)", "whole body", 0.08, 0.4, 360.0, 360.0, "from memory",
       "Health Canada, Safety Code 6, 2015"},
      {"Safety Code 6 (2015)", limb, 4.0, 20.0, 360.0, 360.0, "from memory", "Health Canada, Safety Code 6, 2015"},
      {"Safety Code 6 (2015)", trunk_1g, 1.6, 8.0, 360.0, 360.0, "from memory", "Health Canada, Safety Code 6, 2015"}};
  return limits;
}

const std::vector<ContactFact>& contact_facts() {
  static const std::string tell = "Tell and Tell, BioMedical Engineering OnLine 17, 2018";
  static const std::string kavet = "Kavet and Tell, Health Physics 124(5), 2023";
  static const std::vector<ContactFact> facts{
      {"RF burns come from high local current density when an energised object is touched over a small area", "",
       "official text seen", tell},
      {"dry high-resistance contact heats the skin many times more than wet or well-coupled contact at the same "
       "current",
       "", "official text seen", tell},
      {"a heating study at nine HF frequencies: dry contact, the skin's temperature rises within seconds",
       "100 mA / 1 cm2", "seen second-hand", tell + ", Fig. 1 caption; time scale from memory"},
      {"finger contact through about 1 cm2 with a grounded conductor: warming can be fast enough to burn in a field at "
       "the reference level of E",
       "", "seen second-hand", kavet},
      {"contact current level for touch, general public, 0.1 to 110 MHz", "16.7 mA", "seen second-hand",
       "IEEE Std C95.1-2019, Table 14"},
      {"contact current level 0.1 to 10 MHz, general public / occupational", "20 / 40 mA", "seen second-hand",
       "ICNIRP, Health Physics 99(6):818-836, 2010"},
      {"ICNIRP 2020 sets no restriction on contact current, guidance only", "", "seen second-hand", kavet},
      {"finger contact near mild reversible pain, child / adult", "10 / 20 mA", "from memory",
       "ICNIRP, Health Physics 118(5):483-524, 2020"},
      {"below it nerve stimulation dominates, above it heating and burns", "100 kHz", "seen second-hand",
       kavet + ", abstract"},
      {"energised metal may arc to the skin before it is touched, reported for military sets", "up to 50 mm",
       "seen second-hand", "US Army correspondence lesson SS0713"},
      {"what a body of 100 pF lets through at 7 MHz: its series reactance, 1/(2 pi f C)", "227 ohm", "derived",
       "definition of reactance"},
      {"RF burn design threshold of shipboard practice, open circuit", "140 V rms", "from memory",
       "naval electromagnetic radiation hazard manual"}};
  return facts;
}

}  // namespace stile::safety
