#include <algorithm>
#include <map>
#include <regex>
#include <set>

#include <fmt/format.h>

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

/// Cells by the row's name and the column's heading, of the table whose caption begins so.
std::map<std::string, std::map<std::string, std::string>> table(const std::string& html, const std::string& caption) {
  const std::size_t at = html.find("<caption>" + caption);
  REQUIRE(at != html.npos);
  const std::string body = html.substr(at, html.find("</table>", at) - at);
  std::map<std::string, std::map<std::string, std::string>> rows;
  const std::regex row("<th scope=\"row\">([^<]*)</th>((?:<td data-head=\"[^\"]*\">[^<]*</td>)*)"),
      cell("<td data-head=\"([^\"]*)\">([^<]*)</td>");
  for (std::sregex_iterator r(body.begin(), body.end(), row), end; r != end; ++r) {
    const std::string cells = (*r)[2];
    for (std::sregex_iterator c(cells.begin(), cells.end(), cell); c != end; ++c)
      rows[unescaped((*r)[1])][unescaped((*c)[1])] = unescaped((*c)[2]);
  }
  return rows;
}

std::string db(const nlohmann::json& value) {
  return value.is_null() ? "not known" : fmt::format("{:.1f}", value.get<double>());
}

}  // namespace

TEST_CASE("the figures of the report's verdict and comparison equal the JSON beside them") {
  const Folder folder;
  const Run run =
      folder.run("stile-plan \"" + examples +
                 "/moor/station.toml\" --report \"a report\" -o text --quiet && tidy -e -q \"a report/report.html\"");
  INFO(run.err);
  REQUIRE(run.status == 0);  // tidy: no error, no warning
  CHECK(run.err.empty());
  const std::string html = content(folder.file("a report") / "report.html");
  const nlohmann::json plan = nlohmann::json::parse(content(folder.file("a report") / "plan.json"));
  auto taken = table(html, "What to take");
  std::size_t figures = 0;
  for (const nlohmann::json& band : plan.at("bands")) {
    const std::string name = band.at("band");
    INFO(name);
    auto compared = table(html, name + ": ");
    REQUIRE(compared.size() == band.at("arrangements").size());
    for (const nlohmann::json& a : band.at("arrangements")) {
      const std::string arrangement = a.at("name");
      INFO(arrangement);
      auto& row = compared[arrangement];
      const double swr = a.at("worst_swr");
      CHECK(row["SWR"] == (swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"));
      CHECK(row["to path, dB"].rfind(db(a.at("path_db")), 0) == 0);
      CHECK(row["radiated, dB"] == db(a.at("radiated_db")));
      double loss_db = 0.0;  // each figure of its own worst normal condition
      for (const nlohmann::json& c : a.at("conditions"))
        loss_db = std::max(loss_db, c.at("worst_loss_db").get<double>());
      CHECK(row["to antenna, dB"] == db(loss_db));
      const nlohmann::json& range = a.at("counted_range_db");
      CHECK(row["to path, dB"] == fmt::format("{} ({}..{})", db(a.at("counted_db")), db(range[0]), db(range[1])));
      CHECK(row["Within the limits"].empty() == !a.at("ok").get<bool>());
      figures += 6;
    }
    const std::string caption_of_taken = band.at("taken");
    auto& row = taken[name];
    CHECK(row["Take"].rfind(caption_of_taken, 0) == 0);
    for (const nlohmann::json& a : band.at("arrangements")) {
      if (a.at("name") == caption_of_taken) CHECK(row["dB below full power"].rfind(db(a.at("counted_db")), 0) == 0);
    }
    for (const nlohmann::json& time : plan.at("energy")) {
      if (time.at("arrangement") == caption_of_taken)
        CHECK(row["Hours on the battery"].rfind(fmt::format("{:.1f} ", time.at("operating_time_h").get<double>()), 0) ==
              0);
    }
    CHECK(html.find(band.at("verdict").get<std::string>().substr(0, 40)) != html.npos);
  }
  CHECK(figures == 6 * 6 * 6);
  // The other tables, a row each thing that the JSON has.
  auto far = table(html, "How much weaker");
  std::size_t rows = 0;
  for (const nlohmann::json& band : plan.at("bands")) {
    for (const nlohmann::json& a : band.at("arrangements")) {
      auto& row = far[band.at("band").get<std::string>() + ", " + a.at("name").get<std::string>()];
      const auto weaker = [](const nlohmann::json& db) { return fmt::format("{:.1f} dB", db.get<double>()); };
      CHECK(row["than the best"].rfind(weaker(a.at("against_best_db")) + ",", 0) == 0);
      if (!a.at("against_quarter_wave_db").is_null())
        CHECK(row["than a quarter wave"].rfind(weaker(a.at("against_quarter_wave_db")) + ",", 0) == 0);
      ++rows;
    }
  }
  CHECK(far.size() == rows);
  auto times = table(html, "Operating time");
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
    CHECK(row["1 Ah more"] == fmt::format("{:.1f} to {:.1f} h", t.at("hours_per_ah")[0].get<double>(),
                                          t.at("hours_per_ah")[1].get<double>()));
  }
  auto searched = table(html, "What a tuner's own search reaches");
  const auto power = [](double w) { return w < 1.0 ? fmt::format("{:.3g} mW", 1e3 * w) : fmt::format("{:.3g} W", w); };
  std::size_t searches = 0;
  std::set<std::string> ends;
  for (const nlohmann::json& band : plan.at("bands")) {
    for (const nlohmann::json& a : band.at("arrangements")) {
      if (a.at("own_search").is_null()) continue;
      const auto worst = std::max_element(
          a.at("own_search").begin(), a.at("own_search").end(),
          [](const nlohmann::json& x, const nlohmann::json& y) { return x.at("loss_db") < y.at("loss_db"); });
      auto& row = searched[band.at("band").get<std::string>() + ", " + a.at("name").get<std::string>()];
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
  CHECK(searches == 12);
  CHECK(ends.size() >= 2);  // the column is not empty
  CHECK(searched.size() == searches);
  auto carried = table(html, "Mass, volume and hands");
  for (const nlohmann::json& parts : plan.at("carrying").at("parts")) {
    const double kg = parts.at("mass_kg");
    CHECK(carried[parts.at("arrangement")]["Mass"] == fmt::format("{}{:.3g} {}",
                                                                  parts.at("typical").get<bool>() ? "~" : "",
                                                                  kg < 1.0 ? 1e3 * kg : kg, kg < 1.0 ? "g" : "kg"));
  }
  auto body = table(html, "What goes into the body"), touched = table(html, "What is touched");
  std::map<std::string, std::pair<double, double>> worst;  // W/kg, V peak at the base
  std::map<std::string, std::string> with_spread;          // W/kg
  for (const nlohmann::json& b : plan.at("body")) {
    const std::string name = b.at("band").get<std::string>() + ", " + b.at("arrangement").get<std::string>();
    double& w = worst[name].first;
    if (!b.contains("whole_body_w_kg") || b.at("whole_body_w_kg").get<double>() <= w) continue;
    w = b.at("whole_body_w_kg").get<double>();
    const nlohmann::json& spread = b.at("whole_body_range_w_kg");
    with_spread[name] =
        fmt::format("{:.3g} ({:.3g} to {:.3g})", w, spread.at(0).get<double>(), spread.at(1).get<double>());
  }
  for (const nlohmann::json& c : plan.at("contact")) {
    double& v = worst[c.at("band").get<std::string>() + ", " + c.at("arrangement").get<std::string>()].second;
    v = std::max(v, c.at("terminal_v_peak").get<double>());
  }
  REQUIRE(!worst.empty());
  CHECK(body.size() == worst.size());
  for (const auto& [name, value] : worst) {
    INFO(name);
    if (value.first > 0.0) CHECK(body[name]["W/kg"] == with_spread[name]);
    CHECK(std::abs(std::stod(touched[name]["base, V peak"]) - value.second) <= 0.0006 * value.second);
  }
  // Every caution, every field that was found, the whole station file, and nothing to be fetched.
  for (const nlohmann::json& caution : plan.at("cautions"))
    CHECK(html.find(">" + caution.at("hazard").get<std::string>() + "<") != html.npos);
  CHECK(html.find("[battery]") != html.npos);
  CHECK(html.find("walker.toml</p>") != html.npos);  // the wires as they are drawn
  CHECK(html.find("[person]") != html.npos);
  CHECK(html.find("<script") == html.npos);
  CHECK(std::regex_search(html, std::regex("(src|href)=\"(?!#)")) == false);
  // Nobody can read a green light into any file of the folder. Fields above levels alone do not change the status: it is 0 here.
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
  for (const auto& entry : fs::directory_iterator(folder.file("a report")))
    if (entry.path().extension() == ".svg" && entry.path().filename() != "card.svg") ++drawn;
  const std::regex figure("<figure><svg[^>]* role=\"img\" aria-label=\"[^\"]+\"");
  const auto pictures = std::distance(std::sregex_iterator(html.begin(), html.end(), figure), std::sregex_iterator());
  CHECK(static_cast<std::size_t>(pictures) == drawn + plan.at("bands").size());  // and a circuit each band
}
