#include <map>
#include <regex>

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
  // Every caution, every field that was found, the whole station file, and nothing to be fetched.
  for (const nlohmann::json& caution : plan.at("cautions"))
    CHECK(html.find(">" + caution.at("hazard").get<std::string>() + "<") != html.npos);
  CHECK(html.find("[battery]") != html.npos);
  CHECK(html.find("<script") == html.npos);
  CHECK(std::regex_search(html, std::regex("(src|href)=\"(?!#)")) == false);
  // Each chart of the folder stands on the page with what it shows.
  std::size_t drawn = 0;
  for (const auto& entry : fs::directory_iterator(folder.file("a report")))
    if (entry.path().extension() == ".svg" && entry.path().filename() != "card.svg") ++drawn;
  const std::regex figure("<figure><svg[^>]* role=\"img\" aria-label=\"[^\"]+\"");
  const auto pictures = std::distance(std::sregex_iterator(html.begin(), html.end(), figure), std::sregex_iterator());
  CHECK(static_cast<std::size_t>(pictures) == drawn + plan.at("bands").size());  // and a circuit each band
}
