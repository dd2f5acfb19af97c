// Reference levels against tables evaluated independently; edges; a local code.
#include <catch2/catch.hpp>

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/safety/levels.hpp>

#include "safety/reference.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;

namespace {

const std::map<std::string, std::string> standards{{"FCC", "47 CFR 1.1310"},
                                                   {"ICNIRP2020", "ICNIRP 2020"},
                                                   {"ICNIRP1998", "ICNIRP 1998"},
                                                   {"IEEE2019", "IEEE C95.1-2019"},
                                                   {"SC6-2015", "Safety Code 6 (2015)"}};
const std::map<std::string, std::string> short_status{
    {"V1", "official text seen"}, {"V2", "seen second-hand"}, {"M", "from memory"}};

std::string group_of(const std::string& population) { return population == "general" ? "general public" : population; }

std::string scope_of(const std::string& scope, double averaging_min) {
  if (averaging_min == 0.0) return "not averaged";
  return scope.rfind("local", 0) == 0 ? "local" : "whole body";
}

/// The table of a standard in which a row stands: "whole body T7" is of its Table 7.
std::string source_of(const std::string& standard, const std::string& scope) {
  if (standard == "FCC") return "47 CFR 1.1310, Table 1 to paragraph (e)(1) (85 FR 18145, 1 April 2020)";
  if (standard == "ICNIRP1998") return "ICNIRP, Health Physics 74(4):494-522, 1998, Tables 6 and 7";
  if (standard == "SC6-2015") return "Health Canada, Safety Code 6, 2015, Tables 3 to 6";
  const std::string table = ", Table " + scope.substr(scope.rfind('T') + 1);
  return (standard == "ICNIRP2020" ? "ICNIRP, Health Physics 118(5):483-524, 2020" : "IEEE Std C95.1-2019") + table;
}

std::optional<LevelAt> find(const std::vector<LevelAt>& all, const std::string& standard, const std::string& group,
                            const std::string& scope) {
  for (const LevelAt& l : all) {
    if (l.standard == standard && l.group == group && l.scope == scope) return l;
  }
  return {};
}

}  // namespace

TEST_CASE("reference levels at ten frequencies, all rows") {
  const Table table = reference("rf_limits_vectors.csv");
  REQUIRE(table.rows.size() > 150);
  std::map<double, std::size_t> rows;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double f = 1e6 * table.number(row, "f_MHz");
    ++rows[f];
    const std::string standard = standards.at(table.text(row, "standard"));
    const std::string group = group_of(table.text(row, "population"));
    const double averaging_min = table.number(row, "averaging_min");
    const std::string scope = scope_of(table.text(row, "scope"), averaging_min);
    INFO(table.number(row, "f_MHz") << " MHz, " << standard << ", " << group << ", " << scope);
    const auto level = find(levels_at(published_levels(), f), standard, group, scope);
    REQUIRE(level.has_value());
    CHECK(level->averaging_s == 60.0 * averaging_min);
    CHECK(level->status.find(short_status.at(table.text(row, "status_of_limit"))) == 0);
    const auto check = [&](const char* column, const std::optional<double>& value) {
      INFO(column);
      if (table.text(row, column).empty()) return;
      REQUIRE(value.has_value());
      CHECK(relative(*value, table.number(row, column)) <= 5e-6);  // six digits
    };
    check("E_V_per_m", level->e_v_m);
    check("H_A_per_m", level->h_a_m);
    check("S_W_per_m2", level->s_w_m2);
  }
  // And nothing is listed that the rows do not have.
  for (const auto& [f, count] : rows) {
    INFO(f);
    CHECK(levels_at(published_levels(), f).size() == count);
  }
}

TEST_CASE("the rows of the levels are those of the collected tables, edges as printed") {
  const Table table = reference("rf_limits.csv");
  REQUIRE(table.rows.size() == published_levels().size());
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Level& l = published_levels()[row];
    INFO("row " << row << " " << l.standard);
    CHECK(l.standard == standards.at(table.text(row, "standard")));
    CHECK(l.group == group_of(table.text(row, "population")));
    CHECK(l.low_hz == 1e6 * table.number(row, "f_lo_MHz"));
    CHECK(l.high_hz == 1e6 * table.number(row, "f_hi_MHz"));
    CHECK(l.averaging_s == 60.0 * table.number(row, "averaging_min"));
    CHECK(l.scope == scope_of(table.text(row, "scope"), table.number(row, "averaging_min")));
    // What a row's note says of single values stands behind the status of the row.
    const std::string& note = table.text(row, "note");
    const char* more = note.find("E and H D") != std::string::npos ? ", derived"
                       : note.find("H: M") != std::string::npos    ? ", from memory"
                                                                   : "";
    CHECK(l.status == short_status.at(table.text(row, "status")) + more);
    CHECK(l.source == source_of(table.text(row, "standard"), table.text(row, "scope")));
    // Every formula as it is printed, so at every frequency of its row.
    const auto check = [&](const char* column, const std::optional<Formula>& formula) {
      std::string text = table.text(row, column);
      INFO(column << " " << text);
      if (text.empty() || text == "NA") {
        CHECK(!formula);
        return;
      }
      REQUIRE(formula.has_value());
      std::size_t end = 0;
      CHECK(formula->constant == std::stod(text, &end));
      text = text.substr(end, text.find_first_of("( ", end) - end);  // "1800/f^2 (E)": of the level of E
      CHECK(formula->power == (text.empty() ? 0.0 : text == "/f" ? 1.0 : std::stod(text.substr(3))));
    };
    check("E_V_per_m_rms", l.e_v_m);
    check("H_A_per_m_rms", l.h_a_m);
    check("S_W_per_m2", l.s_w_m2);
  }
}

TEST_CASE("at an edge that two rows share the lower level counts") {
  // 47 CFR 1.1310 general: 614 V/m up to 1.34 MHz, 824/f from there on (614.9 V/m); H 1.63 and 2.19/f (1.634).
  const auto fcc = find(levels_at(published_levels(), 1.34e6), "47 CFR 1.1310", "general public", "whole body");
  CHECK(fcc->e_v_m == 614.0);
  CHECK(fcc->h_a_m == 1.63);
  // ICNIRP 2020: not averaged up to and with 10 MHz.
  CHECK(find(levels_at(published_levels(), 10e6), "ICNIRP 2020", "general public", "not averaged"));
  CHECK(!find(levels_at(published_levels(), 10.0001e6), "ICNIRP 2020", "general public", "not averaged"));
  CHECK(!find(levels_at(published_levels(), 1e9), "ICNIRP 1998", "general public", "whole body"));
  // Rows of two statuses meet: both are told. 30 MHz, ICNIRP 2020 occupational, has one for both rows.
  CHECK(find(levels_at(published_levels(), 10e6), "ICNIRP 1998", "general public", "whole body")->status ==
        "seen second-hand, from memory");
  CHECK(find(levels_at(published_levels(), 30e6), "ICNIRP 2020", "occupational", "whole body")->status ==
        "from memory");
}

TEST_CASE("every standard speaks to both groups, and its status and source are told") {
  std::set<std::string> groups;
  for (const LevelAt& l : levels_at(published_levels(), 7.1e6)) {
    groups.insert(l.standard + "/" + (is_public(l.group) ? "public" : "workers"));
    CHECK(!l.status.empty());
    CHECK(!l.source.empty());
  }
  CHECK(groups.size() == 10);
  CHECK(is_public("unrestricted"));
  CHECK(!is_public("restricted"));
}

TEST_CASE("a local code is a file of the same table") {
  const std::string heading =
      "standard,group,scope,low_mhz,high_mhz,e_v_m,h_a_m,s_w_m2,averaging_min,status,source,note\n";
  const std::vector<Level> local = read_levels(
      heading + "Local code (invented),general public,local,1,30,50/f^0.5,,,6,invented,a test,\n", "local.csv");
  REQUIRE(local.size() == 1);
  CHECK(relative(*levels_at(local, 4e6)[0].e_v_m, 25.0) <= 1e-15);
  CHECK(!levels_at(local, 4e6)[0].h_a_m);
  std::vector<Level> all = published_levels();
  all.insert(all.end(), local.begin(), local.end());
  const std::vector<std::string> chosen{"Local code (invented)", "ICNIRP 1998"};
  std::set<std::string> names;
  for (const Level& l : levels_of(all, chosen)) names.insert(l.standard);
  CHECK(names == std::set<std::string>{"Local code (invented)", "ICNIRP 1998"});
  CHECK_THROWS_AS(levels_of(all, std::vector<std::string>{"ICNIRP 1887"}), DomainError);

  const auto refused = [&](const std::string& row, const std::string& says) {
    INFO(row);
    try {
      read_levels(heading + row, "local.csv");
      FAIL_CHECK("taken");
    } catch (const ParseError& error) {
      CHECK(std::string(error.what()).find("local.csv:2:") == 0);
      CHECK(std::string(error.what()).find(says) != std::string::npos);
    }
  };
  refused("X,public,local,1,30,50,,,6,,,\n", "legal: general public");
  refused("X,occupational,arm,1,30,50,,,6,,,\n", "legal: whole body");
  refused("X,occupational,local,30,1,50,,,6,,,\n", "legal: 0 < low < high");
  refused("X,occupational,local,1,30,50/g,,,6,,,\n", "50/g");
  refused("X,occupational,local,1,30,50/f2,,,6,,,\n", "824/f");
  refused("X,occupational,local,1,30,-5,,,6,,,\n", "legal: > 0");
  refused("X,occupational,local,1,30,,,,6,,,\n", "E or of H");
  refused("X,occupational,local,1,30,50,,,0,,,\n", "does not agree");
  refused("X,occupational,not averaged,1,30,50,,,6,,,\n", "does not agree");
  refused(",occupational,local,1,30,50,,,6,,,\n", "name of its standard");
}

TEST_CASE("standards that set no level of current are named with what they say instead") {
  const std::vector<std::string> lines = without_current_level(published_levels(), 7.1e6);
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] ==
        "47 CFR 1.1310, contact current: the text names no level of contact or induced current (official text seen)");
  CHECK(lines[1].find("ICNIRP 2020, contact current: no restriction, guidance only") == 0);
  CHECK(lines[2] == "Safety Code 6 (2015), contact current: no level of current is known here");
  const auto chosen = levels_of(published_levels(), std::vector<std::string>{"IEEE C95.1-2019"});
  CHECK(without_current_level(chosen, 7.1e6).empty());
  CHECK(counts(chosen, "IEEE C95.1-2019"));
  CHECK(!counts(chosen, "ICNIRP 2010"));
  CHECK(counts(published_levels(), "ICNIRP 2010"));
}

TEST_CASE("current levels are those of the collected table") {
  const Table table = reference("contact_and_limb_current.csv");
  const std::map<std::string, std::string> names{{"ICNIRP2010", "ICNIRP 2010"},
                                                 {"ICNIRP1998", "ICNIRP 1998"},
                                                 {"ICNIRP2020", "ICNIRP 2020"},
                                                 {"IEEE2019", "IEEE C95.1-2019"},
                                                 {"FCC", "47 CFR 1.1310"}};
  const std::map<std::string, std::string> statuses{{"V1", "official text seen"},
                                                    {"V2", "seen second-hand"},
                                                    {"M", "from memory"},
                                                    {"V2/M", "seen second-hand, from memory"}};
  std::size_t found = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string standard = names.at(table.text(row, "standard")), quantity = table.text(row, "quantity");
    // "90 / 45" is of both feet and of each; no number: the standard has none.
    const auto number = [&](const char* column, std::size_t part) -> std::optional<double> {
      std::string text = table.text(row, column);
      if (part > 0) text = text.substr(text.find('/') + 2);
      if (text.empty() || text.find_first_of("0123456789") != 0) return {};
      return 1e-3 * std::stod(text);
    };
    const std::string word = quantity.find("feet") != std::string::npos    ? "both feet"
                             : quantity.find("limb") != std::string::npos  ? "any limb"
                             : quantity.find("touch") != std::string::npos ? "touch contact"
                             : quantity.find("grasp") != std::string::npos ? "grasp contact"
                                                                           : "contact";
    for (std::size_t part = 0; part < (word == "both feet" ? 2U : 1U); ++part) {
      const std::string of = part > 0 ? "each foot" : word;
      INFO(standard << " " << of);
      const auto& all = published_current_levels();
      const auto level = std::find_if(
          all.begin(), all.end(), [&](const CurrentLevel& l) { return l.standard == standard && l.quantity == of; });
      REQUIRE(level != all.end());
      ++found;
      const auto same = [](std::optional<double> a, std::optional<double> b) {
        return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) <= 1e-12);
      };
      CHECK(same(level->public_a, number("general_mA", part)));
      CHECK(same(level->occupational_a, number("occupational_mA", part)));
      CHECK(level->averaging_s ==
            (table.text(row, "averaging_min").empty() ? 0.0 : 60.0 * table.number(row, "averaging_min")));
      CHECK(level->status == statuses.at(table.text(row, "status")));
      CHECK(!level->source.empty());
      // The rule that names none is for its whole range, 300 kHz to 100 GHz (47 CFR 1.1310(e)).
      const bool none = table.text(row, "f_lo_MHz").empty();
      CHECK(level->low_hz == (none ? 0.3e6 : 1e6 * table.number(row, "f_lo_MHz")));
      CHECK(level->high_hz == (none ? 100e9 : 1e6 * table.number(row, "f_hi_MHz")));
    }
  }
  CHECK(found == published_current_levels().size());
}

TEST_CASE(
    "SAR limits: 0.08 and 0.4 W/kg whole body, 4 and 20 over 10 g in limbs, 1.6 and 8 or 2 and 10 in head and trunk") {
  // And in head and trunk 1.6 and 8 W/kg over 1 g or 2 and 10 W/kg over 10 g. 47 CFR 1.1310(b) to (d), OET Bulletin 65
  // Supplement B (1997), note 7; the other standards from memory.
  const std::vector<SarLimit>& limits = published_sar_limits();
  for (const char* standard :
       {"47 CFR 1.1310", "ICNIRP 2020", "ICNIRP 1998", "IEEE C95.1-2019", "Safety Code 6 (2015)"}) {
    INFO(standard);
    CHECK(std::count_if(limits.begin(), limits.end(), [&](const SarLimit& l) { return l.standard == standard; }) == 3);
  }
  for (const SarLimit& l : published_sar_limits()) {
    INFO(l.standard << " " << l.where);
    const bool one_gram = l.where == "1 g in head and trunk", ten_gram = l.where == "10 g in head and trunk";
    if (one_gram || ten_gram)
      CHECK(one_gram == (l.standard == "47 CFR 1.1310" || l.standard == "Safety Code 6 (2015)"));
    CHECK(l.public_w_kg == (l.where == "whole body" ? 0.08 : one_gram ? 1.6 : ten_gram ? 2.0 : 4.0));
    CHECK(l.occupational_w_kg == (l.where == "whole body" ? 0.4 : one_gram ? 8.0 : ten_gram ? 10.0 : 20.0));
    // 47 CFR 1.1310(b): over 6 min, (c): over 30 min; the text's own words read in a copy.
    if (l.standard == "47 CFR 1.1310") {
      CHECK(l.public_averaging_s == 1800.0);
      CHECK(l.occupational_averaging_s == 360.0);
      CHECK(l.status == "official text seen, seen second-hand");
      CHECK(l.source.find("memory") == std::string::npos);
    } else {
      // From memory, as the library says of them: ICNIRP 2020 and IEEE C95.1-2019 average over 30 min in the whole body
      // and over 6 min locally, ICNIRP 1998 and Safety Code 6 over 6 min everywhere.
      const bool slow = l.where == "whole body" && (l.standard == "ICNIRP 2020" || l.standard == "IEEE C95.1-2019");
      CHECK(l.public_averaging_s == (slow ? 1800.0 : 360.0));
      CHECK(l.occupational_averaging_s == (slow ? 1800.0 : 360.0));
      CHECK(l.status == "from memory");
    }
    CHECK(!l.status.empty());
  }
}

TEST_CASE("contact facts have the values, statuses and sources of the collected table") {
  CHECK(contact_facts().size() == 12);
  for (const ContactFact& f : contact_facts()) {
    INFO(f.fact);
    CHECK(!f.status.empty());
    CHECK(!f.source.empty());
  }
  // The first ten are the table's first ten rows in its order; of its last two one is not a fact of its own (the
  // voltage of a case is computed for the case), the other is 1 % off its own formula.
  const Table table = reference("contact_facts.csv");
  const std::map<std::string, std::string> status{
      {"V1", "official text seen"}, {"V2", "seen second-hand"}, {"M", "from memory"}};
  REQUIRE(table.rows.size() == 12);
  for (std::size_t row = 0; row < 10; ++row) {
    const ContactFact& f = contact_facts()[row];
    INFO(f.fact);
    CHECK(std::string(f.status) == status.at(table.text(row, "status")));
    CHECK(table.text(row, "value") == (row == 9 ? f.value + " reported for military sets" : f.value));
  }
  CHECK(table.text(11, "value") == "225 ohm");
  CHECK(fmt::format("{:.0f} ohm", 1.0 / (two_pi * 7e6 * 100e-12)) == contact_facts()[10].value);
  // Shipboard practice, from memory: 140 V rms open circuit.
  CHECK(contact_facts()[11].value == "140 V rms");
  CHECK(contact_facts()[11].fact == "RF burn design threshold of shipboard practice, open circuit");
}
