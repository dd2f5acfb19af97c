#include <algorithm>
#include <map>
#include <regex>
#include <set>

#include <fmt/format.h>

#include <stile/base/quantity.hpp>

#include "figures.hpp"
#include "plots/chart_measure.hpp"
#include "programs.hpp"

namespace fs = std::filesystem;
using programs::content;
using programs::Folder;
using programs::Run;

namespace {

const std::string examples = STILE_EXAMPLES_FOLDER;

/// The text of a cell as the page shows it.
std::string unescaped(std::string text) {
  for (const auto& [what, with] :
       {std::pair<std::string, std::string>{"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}}) {
    for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + 1))
      text.replace(at, what.size(), with);
  }
  return text;
}

/// Places on the page of the tables that a test has read.
using TablesRead = std::set<std::size_t>;

/// Cells by the row's name and the column's heading, of the table whose caption begins so.
/// @param by_two  the row's name and the cell behind it, with ", " between
std::map<std::string, std::map<std::string, std::string>>
read_table(const std::string& html, const std::string& caption, TablesRead& read, bool by_two = false) {
  const std::size_t at = html.find("<caption>" + caption);
  INFO(caption);
  REQUIRE(at != html.npos);
  read.insert(at);
  const std::string body = html.substr(at, html.find("</table>", at) - at);
  std::map<std::string, std::map<std::string, std::string>> rows;
  const std::regex row(
      "<th role=\"rowheader\" scope=\"row\">([^<]*)</th>((?:<td role=\"cell\" data-head=\"[^\"]*\">[^<]*</td>)*)"),
      cell("<td role=\"cell\" data-head=\"([^\"]*)\">([^<]*)</td>");
  for (std::sregex_iterator r(body.begin(), body.end(), row), end; r != end; ++r) {
    const std::string cells = (*r)[2];
    std::string name = unescaped((*r)[1]);
    if (by_two) name += ", " + unescaped((*std::sregex_iterator(cells.begin(), cells.end(), cell))[2]);
    for (std::sregex_iterator c(cells.begin(), cells.end(), cell); c != end; ++c)
      rows[name][unescaped((*c)[1])] = unescaped((*c)[2]);
  }
  return rows;
}

std::string db(const nlohmann::json& value) {
  return value.is_null() ? "not known" : fmt::format("{:.1f}", value.get<double>());
}

/// "12.3 (11.0..14.1)"
std::string with_range(const nlohmann::json& value, const nlohmann::json& range) {
  return fmt::format("{} ({}..{})", db(value), db(range[0]), db(range[1]));
}

/// Three figures of a number that may have more digits before its point, as it is said without an exponent.
std::string three_figures(double value) {
  if (value >= 1000.0) return fmt::format("{:.0f}", value);
  if (value >= 1e-4) return fmt::format("{:.3g}", value);
  std::string text = fmt::format("{:.12f}", std::stod(fmt::format("{:.3g}", value)));
  return text.erase(text.find_last_not_of('0') + 1);
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"; }

/// What an arrangement's normal conditions come to at worst, as cells of the page.
struct Worst {
  double loss_db = 0.0, volt = 0.0, volt_high = 0.0;
  const nlohmann::json* narrowest = nullptr;
  explicit Worst(const nlohmann::json& arrangement) {
    for (const nlohmann::json& c : arrangement.at("conditions")) {
      if (c.at("role") != "normal") continue;
      loss_db = std::max(loss_db, c.at("worst_loss_db").get<double>());
      volt = std::max(volt, c.at("load_voltage_v_peak").get<double>());
      volt_high = std::max(volt_high, c.at("load_voltage_high_v_peak").get<double>());
      if (narrowest == nullptr || c.at("bandwidth_hz") < narrowest->at("bandwidth_hz")) narrowest = &c;
    }
  }
  std::string base() const {
    return stile::print_quantity(volt, stile::Unit::volt, 3) + " (" +
           stile::print_quantity(volt_high, stile::Unit::volt, 3) + ")";
  }
  std::string bandwidth() const {
    const double width = narrowest->at("bandwidth_hz");
    if (width == 0.0) return "none";
    return (narrowest->at("bandwidth_limited_by_data").get<bool>() ? ">" : "") +
           stile::print_quantity(width, stile::Unit::hertz, 3);
  }
};

}  // namespace

TEST_CASE("every figure of the report equals the JSON beside it") {
  const Folder folder;
  const Run run =
      folder.run("stile-plan \"" + examples +
                 "/moor/station.toml\" --report \"a report\" -o text --quiet && tidy -e -q \"a report/report.html\"");
  INFO(run.err);
  REQUIRE(run.status == 0);  // tidy: no error, no warning
  CHECK(run.err.empty());
  const std::string html = content(folder.file("a report") / "report.html");
  const nlohmann::json plan = nlohmann::json::parse(content(folder.file("a report") / "plan.json"));
  TablesRead tables_read;
  const auto table = [&](const std::string& caption) { return read_table(html, caption, tables_read); };
  auto taken = table("What to take");
  std::size_t figures = 0, parts_set = 0, over_limit = 0, hands_compared = 0;
  for (const nlohmann::json& band : plan.at("bands")) {
    const std::string name = band.at("band");
    INFO(name);
    const std::string name_of_taken = band.at("taken");
    auto compared = table(name + ": ");
    REQUIRE(compared.size() == band.at("arrangements").size());
    for (const nlohmann::json& a : band.at("arrangements")) {
      const std::string arrangement = a.at("name");
      INFO(arrangement);
      auto& row = compared[arrangement];
      const Worst worst(a);
      const std::string swr_low = swr_text(a.at("worst_swr_range").at(0)),
                        swr_high = swr_text(a.at("worst_swr_range").at(1));
      CHECK(row["SWR"] ==
            swr_text(a.at("worst_swr")) + (swr_low == swr_high ? "" : fmt::format(" ({}..{})", swr_low, swr_high)));
      CHECK(row["to path, dB"] == with_range(a.at("counted_db"), a.at("counted_range_db")));
      CHECK(db(a.at("path_db")) == db(a.at("counted_db")));
      CHECK(row["radiated, dB"] == db(a.at("radiated_db")));
      CHECK(row["to antenna, dB"] == db(worst.loss_db));
      CHECK(row["S units"] == with_range(a.at("counted_s_units"), a.at("counted_s_units_range")));
      CHECK(a.at("counted_s_units") == a.at("counted_db").get<double>() / 6.0);
      CHECK(row["base, peak"] == worst.base());
      CHECK(row["bandwidth"] == worst.bandwidth());
      CHECK(row["Within the limits"] == (!a.at("ok").get<bool>()                ? ""
                                         : a.at("holds_throughout").get<bool>() ? "holds"
                                                                                : "as stated"));
      figures += row.size();
      if (name_of_taken != arrangement) continue;
      auto& take = taken[name];
      CHECK(take["Take"] == arrangement + (band.at("choice") == "undecided" ? " (undecided)" : ""));
      CHECK(take["dB below full power"] == row["to path, dB"]);
      CHECK(take["which is the power"] == "towards the other station");
      CHECK(take["Radiated, dB below it"] == with_range(a.at("radiated_db"), a.at("radiated_range_db")));
      CHECK(take["At the base, peak"] == worst.base());
      // What moves on this band, and not what the file allows to move.
      for (const nlohmann::json& order : plan.at("carrying").at("orders")) {
        if (order.at("arrangement") != arrangement) continue;
        for (const nlohmann::json& work : order.at("between_conditions_on")) {
          if (work.at("band") != name) continue;
          const int taps = work.at("taps"), trimmers = work.at("trimmers"), parts = work.at("parts");
          CHECK(a.at("hands") == taps + trimmers + parts);
          ++hands_compared;
          if (taps == 1 && trimmers + parts == 0)
            CHECK(take["A hand sets anew"] == fmt::format("tap, {:.3g} s", work.at("seconds").get<double>()));
          else
            CHECK(take["A hand sets anew"].rfind("nothing", 0) == 0);
        }
      }
      // What its own search does not reach stands beside the verdict, twice: under the table and under the reason.
      const nlohmann::json& warning = a.at("own_search_warning");
      std::size_t told = 0;
      if (warning.is_string()) {
        const std::string words = arrangement + ", set by itself: " + warning.get<std::string>() + ".",
                          plain = unescaped(html);
        for (std::size_t at = plain.find(words); at != plain.npos; at = plain.find(words, at + 1)) ++told;
        CHECK(told >= 2);
      }
      std::size_t over = 0;
      if (a.at("own_search").is_array()) {
        for (const nlohmann::json& search : a.at("own_search")) over += search.at("swr") > plan.at("swr_limit");
        CHECK((over > 0) == (warning.is_string() &&
                             warning.get<std::string>().find("its own search may end at SWR") != std::string::npos));
      }
      over_limit += over;
      auto set = table(name + ", " + arrangement + ": what ");
      CHECK(set.size() == a.at("conditions").size());
      for (const nlohmann::json& s : a.at("settings")) {
        const std::string& cell = set[s.at("condition")]["Set"];
        INFO(cell);
        for (const nlohmann::json& e : s.at("elements")) {
          const std::string kind = e.at("kind");
          const bool coil = kind == "inductor" || kind == "inductor bank";
          if (!coil) REQUIRE((kind == "capacitor" || kind == "capacitor bank"));
          const stile::Unit unit = coil ? stile::Unit::henry : stile::Unit::farad;
          CHECK(cell.find(e.at("place").get<std::string>() + " " + kind + " " +
                          stile::print_quantity(e.at("value"), unit, 3)) != cell.npos);
          ++parts_set;
        }
      }
      for (const nlohmann::json& c : a.at("conditions")) CHECK(set[c.at("condition")]["SWR"] == swr_text(c.at("swr")));
      auto reach = table(fmt::format("{}, {}: {:.0f} % of the ways", name, arrangement,
                                     100.0 * a.at("reach").at("share_inside").get<double>()));
      CHECK(reach.size() == a.at("reach").at("conditions").size());
      for (const nlohmann::json& c : a.at("reach").at("conditions"))
        CHECK(reach[c.at("condition")]["How far"] == c.at("words").get<std::string>());
    }
    CHECK(taken[name]["Take"].rfind(name_of_taken, 0) == 0);
    for (const nlohmann::json& time : plan.at("energy")) {
      if (time.at("arrangement") != name_of_taken) continue;
      const nlohmann::json& range = time.at("operating_time_range_h");
      CHECK(taken[name]["Hours on the battery"] == with_range(time.at("operating_time_h"), range));
    }
    if (band.at("choice") == "undecided" && !band.at("measure").empty()) {
      auto measures = table(name + ", undecided: ");
      for (const nlohmann::json& m : band.at("measure"))
        CHECK(measures[m.at("what")]["Settles it in"] ==
              fmt::format("{:.0f} % of its possible outcomes", 100.0 * m.at("settles").get<double>()));
    }
    CHECK(html.find(band.at("verdict").get<std::string>().substr(0, 40)) != html.npos);
  }
  CHECK(figures == 6 * 6 * 8);
  CHECK(parts_set >= 6 * 3);
  CHECK(hands_compared == plan.at("bands").size());
  CHECK(over_limit == 2);  // 40 m in wet peat and 20 m lifted
  CHECK(taken.size() == plan.at("bands").size());
  // The other tables, a row each thing that the JSON has.
  auto far = table("How much weaker");
  std::size_t rows = 0;
  for (const nlohmann::json& band : plan.at("bands")) {
    for (const nlohmann::json& a : band.at("arrangements")) {
      auto& row = far[band.at("band").get<std::string>() + ", " + a.at("name").get<std::string>()];
      const auto weaker = [&](const char* than) {
        return a.at(than + std::string("_db")).is_null()
                   ? "not known"
                   : fmt::format("{:.1f} dB, {:.1f} S", a.at(than + std::string("_db")).get<double>(),
                                 a.at(than + std::string("_s_units")).get<double>());
      };
      const std::string low = db(a.at("against_best_range_db").at(0)), high = db(a.at("against_best_range_db").at(1));
      const std::string best = weaker("against_best");  // "5.8 dB, 1.0 S", with the range behind the decibels
      CHECK(row["than the best"] ==
            (low == high
                 ? best
                 : best.substr(0, best.find(',')) + fmt::format(" ({}..{})", low, high) + best.substr(best.find(','))));
      CHECK(row["than a quarter wave"] == weaker("against_quarter_wave"));
      const auto share = [&](const char* key) {
        return a.at(key).is_null() ? std::string() : fmt::format("{:.0f} %", 100.0 * a.at(key).get<double>());
      };
      CHECK(row["failed"] == share("contacts_failed_share"));
      CHECK(row["lost"] == share("contacts_lost_share"));
      ++rows;
    }
  }
  CHECK(far.size() == rows);
  auto times = table("Operating time");
  CHECK(times.size() == plan.at("energy").size());
  for (const nlohmann::json& t : plan.at("energy")) {
    auto& row = times[t.at("arrangement")];
    CHECK(row["Hours"] == fmt::format("{:.1f} h", t.at("operating_time_h").get<double>()));
    CHECK(row["Mean current"] == fmt::format("{:.3f} A ({:.3f} to {:.3f})", t.at("mean_current_a").get<double>(),
                                             t.at("mean_current_range_a")[0].get<double>(),
                                             t.at("mean_current_range_a")[1].get<double>()));
    const double held_a = t.at("tuner_hold_a"), tuner_a = t.at("tuner_current_a");
    CHECK(row["Held"] == (held_a > 0.0 ? fmt::format("{:.3f} A", held_a) : "-"));
    CHECK(row["Tuner costs"] ==
          (tuner_a > 0.0 ? fmt::format("{:.0f} min", 60.0 * t.at("tuner_costs_h").get<double>()) : "-"));
    CHECK(row["And takes"] == (tuner_a > 0.0 ? fmt::format("{:.2f} Ah", t.at("tuner_charge_ah").get<double>()) : "-"));
    CHECK(row["To tune"] == (tuner_a > 0.0 ? fmt::format("{:.3f} A", t.at("tuner_tuning_a").get<double>()) : "-"));
    const auto hours = [&](const char* key) {
      return fmt::format("{:.1f} to {:.1f}", t.at(key)[0].get<double>(), t.at(key)[1].get<double>());
    };
    CHECK(row["Hours, from and to"] == "(" + hours("operating_time_range_h") + ")");
    CHECK(row["1 Ah more"] == hours("hours_per_ah") + " h");
    CHECK(row["1 kg more"] == hours("hours_per_kg") + " h");
  }
  auto searched = read_table(html, "What a tuner's own search reaches", tables_read, true);
  const auto power = [](double w) { return w < 1.0 ? fmt::format("{:.3g} mW", 1e3 * w) : fmt::format("{:.3g} W", w); };
  std::size_t searches = 0;
  std::set<std::string> ends;
  for (const nlohmann::json& band : plan.at("bands")) {
    for (const nlohmann::json& a : band.at("arrangements")) {
      if (a.at("own_search").is_null()) continue;
      // Every condition that ends over the limit, and where none does the one that loses most.
      std::vector<const nlohmann::json*> shown;
      const nlohmann::json* most = &a.at("own_search").front();
      for (const nlohmann::json& one : a.at("own_search")) {
        if (one.at("swr") > plan.at("swr_limit")) shown.push_back(&one);
        if (one.at("loss_db") > most->at("loss_db")) most = &one;
      }
      if (shown.empty()) shown.push_back(most);
      for (const nlohmann::json* worst : shown) {
        auto& row = searched[band.at("band").get<std::string>() + ", " + a.at("name").get<std::string>() + ", " +
                             worst->at("condition").get<std::string>()];
        const double swr = worst->at("swr"), lost_db = worst->at("lost_db"), offered_w = worst->at("offered_w");
        CHECK(row["Condition"] == worst->at("condition").get<std::string>());
        CHECK(row["Ends at SWR"] == (swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"));
        CHECK(row["Loses"] == fmt::format("{:.1f} dB", worst->at("loss_db").get<double>()));
        CHECK(row["More than the best"] == fmt::format("{:.1f} dB", std::abs(lost_db) < 0.05 ? 0.0 : lost_db));
        CHECK(row["Readings"] == std::to_string(worst->at("readings").get<int>()));
        const double greatest = worst->at("greatest_swr");
        CHECK(row["Set offers"] ==
              power(offered_w) + " at SWR " + (greatest < 100.0 ? fmt::format("{:.2f}", greatest) : ">100"));
        CHECK(row["Enough to tune"] == (worst->at("can_tune").is_null() ? "not stated"
                                        : worst->at("can_tune").get<bool>()
                                            ? "yes"
                                            : "no, it needs " + power(worst->at("needs_w"))));
        CHECK(row["Why"] == (worst->at("within_limit").get<bool>()    ? ""
                             : worst->at("false_minimum").get<bool>() ? "a false minimum"
                                                                      : "out of reach"));
        ends.insert(row["Why"]);
        ++searches;
      }
    }
  }
  CHECK(searches == 19);
  CHECK(ends.size() >= 2);  // the column is not empty
  CHECK(searched.size() == searches);
  auto carried = table("Mass, volume and hands");
  CHECK(carried.size() == plan.at("carrying").at("parts").size());
  for (const nlohmann::json& parts : plan.at("carrying").at("parts")) {
    const std::string about = parts.at("typical").get<bool>() ? "~" : "";
    const double kg = parts.at("mass_kg"), litre = 1e3 * parts.at("volume_m3").get<double>();
    auto& row = carried[parts.at("arrangement")];
    CHECK(row["Mass"] == fmt::format("{}{:.3g} {}", about, kg < 1.0 ? 1e3 * kg : kg, kg < 1.0 ? "g" : "kg"));
    const bool known = parts.at("volume_not_known").empty();
    CHECK(row["Volume"] == (litre > 0.0 ? fmt::format("{}{}{:.2g} l", known ? "" : "more than ", about, litre)
                            : known     ? "-"
                                        : "not known"));
    CHECK(parts.at("mass_not_stated") == std::vector<std::string>{"antenna"});
  }
  auto signal = table("Mass and volume beside the signal");
  CHECK(signal.size() == carried.size());
  for (const auto& [arrangement, parts] : carried) {
    INFO(arrangement);
    CHECK(signal[arrangement].size() == 2 + plan.at("bands").size());
    CHECK(signal[arrangement]["mass"] == parts.at("Mass"));
    CHECK(signal[arrangement]["volume"] == parts.at("Volume"));
  }
  for (const nlohmann::json& band : plan.at("bands")) {
    for (const nlohmann::json& a : band.at("arrangements")) {
      const std::string arrangement = a.at("name"), on = band.at("band");
      INFO(on + ", " + arrangement);
      const char* mark = a.at("holds_throughout").get<bool>() ? " *" : a.at("ok").get<bool>() ? " +" : "";
      CHECK(signal[arrangement][on] == db(a.at("counted_db")) + mark);
    }
  }
  for (const nlohmann::json& order : plan.at("carrying").at("orders")) {
    auto& row = carried[order.at("arrangement")];
    INFO(order.at("arrangement"));
    CHECK(row["In the file's order"] == fmt::format("{} touched, {:.4g} s", order.at("stated_order_touches").get<int>(),
                                                    order.at("stated_order_seconds").get<double>()));
    const std::size_t served = order.at("order").size();
    CHECK(row["Through all bands"] ==
          (served == 0
               ? "-"
               : fmt::format(
                     "{}{} touched, {:.4g} s",
                     served < plan.at("bands").size() ? fmt::format("{} of {}: ", served, plan.at("bands").size()) : "",
                     order.at("touches").get<int>(), order.at("seconds").get<double>())));
    const nlohmann::json& between = order.at("between_conditions");
    const double seconds = between.at("seconds");
    CHECK(row["Between conditions"].find(seconds > 0.0 ? fmt::format(", {:.3g} s", seconds) : "nothing") !=
          std::string::npos);
  }
  // Of each figure the worst condition; a limb's heat is that of its greatest current.
  struct Body {
    double whole = -1.0, base = 0.0, coil = 0.0, open = -1.0, contact = -1.0;
    std::string whole_text = "-";
    std::map<std::string, const nlohmann::json*> limbs;
  };
  std::map<std::string, Body> worst;
  for (const nlohmann::json& b : plan.at("body")) {
    Body& w = worst[b.at("band").get<std::string>() + ", " + b.at("arrangement").get<std::string>()];
    if (!b.at("in_model").get<bool>()) continue;
    if (const double whole = b.at("whole_body_w_kg"); whole > w.whole) {
      const nlohmann::json& spread = b.at("whole_body_range_w_kg");
      w.whole = whole;
      w.whole_text = fmt::format("{} ({} to {})", three_figures(whole), three_figures(spread[0].get<double>()),
                                 three_figures(spread[1].get<double>()));
    }
    for (const nlohmann::json& l : b.at("limbs")) {
      const nlohmann::json*& known = w.limbs[l.at("where") == "hand and wrist" ? "hand" : "foot"];
      if (known == nullptr || l.at("current_a_rms") > known->at("current_a_rms")) known = &l;
    }
  }
  for (const nlohmann::json& c : plan.at("contact")) {
    Body& w = worst[c.at("band").get<std::string>() + ", " + c.at("arrangement").get<std::string>()];
    w.base = std::max(w.base, c.at("terminal_v_peak").get<double>());
    w.coil = std::max(w.coil, c.at("coil_v_peak").get<double>());
    for (const nlohmann::json& place : c.at("places")) {
      w.open = std::max(w.open, place.at("open_v_rms").get<double>());
      w.contact = std::max(w.contact, 1e3 * place.at("contact_a_rms").get<double>());
    }
  }
  REQUIRE(!worst.empty());
  auto body = table("What goes into the body"), touched = table("What is touched");
  CHECK(body.size() == worst.size());
  CHECK(touched.size() == worst.size());
  const auto four_figures = [](const std::string& cell, double value) {
    return value < 0.0 ? cell == "-" : std::abs(std::stod(cell) - value) <= 0.0006 * value;
  };
  for (const auto& [name, w] : worst) {
    INFO(name);
    CHECK(body[name]["W/kg"] == w.whole_text);
    for (const char* limb : {"hand", "foot"}) {
      const auto known = w.limbs.find(limb);
      const std::string& cell = body[name][limb + std::string(", mA")];
      if (known == w.limbs.end()) {
        CHECK(cell == "-");
        continue;
      }
      const nlohmann::json& range = known->second->at("current_range_a");
      CHECK(cell == fmt::format("{:.3g} ({:.3g} to {:.3g})", 1e3 * known->second->at("current_a_rms").get<double>(),
                                1e3 * range[0].get<double>(), 1e3 * range[1].get<double>()));
    }
    CHECK(four_figures(touched[name]["base, V peak"], w.base));
    CHECK(four_figures(touched[name]["along the coil, V peak"], w.coil > 0.0 ? w.coil : -1.0));
    CHECK(four_figures(touched[name]["touched, V rms open"], w.open));
    for (const auto& [head, cell] : touched[name]) {
      if (head.rfind("mA through", 0) == 0) CHECK(four_figures(cell, w.contact));
    }
  }
  // Whatever else stands on it is some number of the JSON: one that is nowhere there is told, one of another row is
  // not, which the tables above are for. Two tables show mA, as their headings say.
  std::vector<double> json;
  std::set<std::string> names;
  programs::collect(plan, json, names);
  std::string in_ma, rest = html;
  for (const char* caption : {"What goes into the body", "What is touched"}) {
    const std::size_t from = rest.find(std::string("<caption>") + caption), to = rest.find("</table>", from);
    in_ma += rest.substr(from, to - from);
    rest.erase(from, to - from);
  }
  const std::vector<programs::Printed> all = programs::printed(programs::page_text(rest), names);
  CHECK(all.size() > 1000);
  for (const programs::Printed& p : all) {
    INFO(p.text);
    CHECK(programs::among(json, p));
  }
  for (const programs::Printed& p : programs::printed(programs::page_text("<section>" + in_ma + "</section>"), names)) {
    INFO(p.text);
    CHECK((programs::among(json, p) || programs::among(json, p, 1e-3)));
  }
  // Every caution, every field that was found, the whole station file, and nothing to be fetched.
  auto cautions = table("All cautions");
  for (const nlohmann::json& caution : plan.at("cautions")) {
    auto& row = cautions[caution.at("hazard")];
    CHECK(row["What to do"] == caution.at("text").get<std::string>());
    CHECK(row["Stands on"] == caution.at("basis").get<std::string>());
  }
  // No table of the page is left out of this test.
  std::size_t tables = 0;
  for (std::size_t at = html.find("<caption>"); at != html.npos; at = html.find("<caption>", at + 1)) ++tables;
  CHECK(tables == tables_read.size());
  CHECK(html.find("[battery]") != html.npos);
  CHECK(html.find("walker.toml</p>") != html.npos);  // the wires as they are drawn
  CHECK(html.find("[person]") != html.npos);
  CHECK(html.find("<script") == html.npos);
  CHECK(std::regex_search(html, std::regex("(src|href)=\"(?!#)")) == false);
  // Nobody can read a green light into any file of the folder. Fields above levels alone do not change the status: it
  // is 0 here.
  CHECK(std::any_of(plan.at("exposure_verdicts").begin(), plan.at("exposure_verdicts").end(),
                    [](const nlohmann::json& v) { return v.at("ratio").get<double>() > 1.0; }));
  const std::regex green("\\b[Ss]afe(ly)?\\b");
  for (const char* file : {"report.html", "comparison.txt", "plan.json", "plan.csv", "card.svg"}) {
    INFO(file);
    std::smatch where;
    const std::string text = content(folder.file("a report") / file);
    CHECK_FALSE(std::regex_search(text, where, green));
  }
  // Each chart of the folder stands on the page with what it shows.
  std::size_t drawn = 0;
  std::size_t in_gallery = 0;
  for (const auto& entry : fs::directory_iterator(folder.file("a report"))) {
    const fs::path& svg = entry.path();
    if (svg.extension() != ".svg" || svg.filename() == "card.svg") continue;
    ++drawn;
    chart_measure::check_chart(svg);
    if (svg.filename().string().rfind("budget-", 0) == 0) {
      // An undecided band takes nothing, and nothing is marked there.
      const std::string drawing = content(svg), mark = "\u25C0";
      std::ptrdiff_t marks = 0;
      for (std::size_t at = drawing.find(mark); at != std::string::npos; at = drawing.find(mark, at + 1)) ++marks;
      CHECK(marks == std::count_if(plan.at("bands").begin(), plan.at("bands").end(), [](const nlohmann::json& band) {
              return !band.at("taken").is_null() && band.at("choice") != "undecided";
            }));
    }
    const fs::path shown = fs::path(examples) / "gallery" / svg.filename();
    if (!fs::exists(shown)) continue;
    ++in_gallery;
    INFO(shown);
    CHECK(content(svg) == content(shown));
  }
  CHECK(in_gallery == 10);
  // A picture's words name where its figures are: lines of plan.csv that are there, a table of this page, or the
  // picture alone.
  const std::string csv = content(folder.file("a report") / "plan.csv");
  const std::regex told("aria-label=\"([^\"]*)\"");
  std::size_t in_csv = 0, alone = 0;
  for (std::sregex_iterator m(html.begin(), html.end(), told), end; m != end; ++m) {
    const std::string words = (*m)[1];
    INFO(words);
    CHECK(words.find("in the tables of this page and") == words.npos);
    alone += words.find("Its figures are in the picture alone.") != words.npos;
    for (const char* lines : {"# budget", "# along the band", "# frontier", "# reach", "# edge", "# worst"}) {
      if (words.find(std::string("plan.csv, lines that begin with ") + lines) == words.npos) continue;
      CHECK(csv.find(std::string("\n") + lines + ", ") != csv.npos);
      ++in_csv;
    }
  }
  CHECK(in_csv == 2 * 3 + 1 + 2 + 1);       // budget and SWR of each condition, power by bands, both trades, reach
  CHECK(alone == plan.at("bands").size());  // the paths through the match
  // The circuit of a tuner that sits low has both its cables.
  CHECK(html.find("aria-label=\"Circuit from transmitter to antenna: cable of 800 mm of RG-174, ") != html.npos);
  CHECK(html.find(", cable of 1.2 m of RG-58\"") != html.npos);
  CHECK(html.find(">1.2 m of RG-58</text>") != html.npos);
  for (const char* source :
       {"Harrington", "Michalski", "Peukert", "ICNIRP 2020, general public, whole body: seen second-hand",
        "Contacts lost to fading: no source"})
    CHECK(html.find(source, html.find("Versions and sources</h2>")) != html.npos);
  // The card says what a tuner does not reach, where all cautions are, and how long the wires are.
  const std::string card = folder.run("pdftotext \"a report/card.pdf\" - | tr '\\n' ' '").out;
  INFO(card);
  CHECK(card.find("but not with the 500 mW of fold-back") != card.npos);
  CHECK(card.find("may stop at SWR 2.2") != card.npos);
  CHECK(card.find("may stop at SWR 4.3") != card.npos);
  CHECK(card.find("all cautions: report.html") != card.npos);
  CHECK(card.find("counterpoise 7.5 m") != card.npos);
  const std::regex figure("<div class=\"frame\"[^>]*><svg[^>]* role=\"img\" aria-label=\"[^\"]+\"");
  const auto pictures = std::distance(std::sregex_iterator(html.begin(), html.end(), figure), std::sregex_iterator());
  CHECK(static_cast<std::size_t>(pictures) == drawn + plan.at("bands").size());  // and a circuit each band
}

TEST_CASE("without gnuplot a report has all but its pictures, their scripts, and says so") {
  const Folder folder;
  folder.write("station.toml", programs::small_station);
  const Run run = folder.run("PATH='" STILE_TOOLS_FOLDER "' stile-plan station.toml --report out -o text");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(
      run.err.find("stile-plan: warning: gnuplot is not installed; the chart's script is out/budget-dry.gp; render it "
                   "with: ") == 0);
  std::size_t scripts = 0;
  for (const auto& entry : fs::directory_iterator(folder.file("out"))) {
    const std::string kind = entry.path().extension();
    scripts += kind == ".gp";
    CHECK(kind != ".png");
    CHECK((kind != ".svg" || entry.path().filename() == "card.svg"));
  }
  CHECK(scripts >= 6);
  CHECK(programs::lines(run.err) == scripts);
  const std::string html = content(folder.file("out") / "report.html");
  CHECK(html.find("No chart could be drawn: gnuplot is not installed.") != html.npos);
  CHECK(html.find("What to take on each band") != html.npos);
  CHECK(fs::exists(folder.file("out") / "card.pdf"));
}

TEST_CASE("a report into a folder that may not be written to is told, and leaves nothing") {
  const Folder folder;
  folder.write("station.toml", programs::small_station);
  for (const char* name : {"none", "full"}) fs::create_directory(folder.file(name));
  folder.write("full/plan.json", "old");
  for (const char* name : {"none", "full"}) fs::permissions(folder.file(name), fs::perms(0555));
  // Root may write everywhere: without that right of his, the folder's mode counts for him too.
  const std::string tool =
      (::geteuid() == 0 ? "setpriv --bounding-set=-dac_override,-dac_read_search " : "") + std::string("stile-plan ");
  for (const auto& [where, place] : {std::pair{"none", "none/comparison.txt: cannot be written"},
                                     std::pair{"full", "full/comparison.txt: cannot be written"},
                                     std::pair{"none/new", "none/new: cannot be made"}}) {
    const Run run = folder.run(tool + "station.toml -o result.txt --report " + where);
    INFO(run.err);
    CHECK(run.status == 2);
    CHECK(run.err.find(std::string("stile-plan: ") + place + ": Permission denied") == 0);
    CHECK(programs::lines(run.err) == 1);
    CHECK(fs::is_empty(folder.file("none")));
    CHECK(content(folder.file("full/plan.json")) == "old");
    CHECK(folder.names() == std::vector<std::string>{"full", "none", "station.toml"});
  }
  for (const char* name : {"none", "full"}) fs::permissions(folder.file(name), fs::perms(0755));
}
