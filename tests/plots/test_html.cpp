#include <catch2/catch.hpp>

#include <regex>
#include <set>

#include <stile/base/errors.hpp>
#include <stile/plots/html_page.hpp>

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

const std::string picture = R"svg(<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"
 xmlns:xlink="http://www.w3.org/1999/xlink" width="40" height="30"><title>maker</title><desc>made by it</desc>
<defs><path id="dot" d="M0,0 h1"/><pattern id="hatch" width="1" height="1"/></defs><use xlink:href="#dot"/>
<rect fill="url(#hatch)" style="stroke:red; clip-path: url(#hatch)" width="3" height="3"/><text>a &amp; b</text></svg>)svg";

HtmlPage page() {
  return {"Nest survey <A> & \"B\"",
          "invented",
          {{"Verdict",
            {HtmlText{"<script>alert(1)</script>", HtmlText::Weight::strong}, HtmlText{"plain"},
             HtmlTable{"a table", {{"band", "take", "loss"}, {"80 m", "coil <b>"}, {"40 m", "tuner", "3 dB"}}},
             HtmlList{{"one", "two & three"}}}},
           {"Charts",
            {HtmlFigure{picture, "a caption", "a bar \"each\" band"}, HtmlFigure{picture, "again", "again", true}}},
           {"Inputs", {HtmlListing{"station.toml", "name = \"a <b>\"\n  two = 1\x07\n"}}}},
          "made by a test"};
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("a page escapes every text and runs nothing") {
  const std::string html = html_text(page());
  CHECK(html.rfind("<!DOCTYPE html><html lang=\"en\">", 0) == 0);
  CHECK_THAT(html, Contains("<title>Nest survey &lt;A&gt; &amp; \"B\"</title>"));
  CHECK_THAT(html, Contains("<p class=\"strong\">&lt;script&gt;alert(1)&lt;/script&gt;</p>"));
  CHECK_THAT(html, Contains("<p>plain</p>") && Contains("<li>two &amp; three</li>"));
  CHECK_THAT(html, Contains("name = \"a &lt;b&gt;\"\n  two = 1 \n"));
  CHECK(html.find("<script") == html.npos);
}

TEST_CASE("ids are unique on a page and every reference stays on it") {
  const std::string html = html_text(page());
  std::set<std::string> ids;
  const std::regex id("\\bid=\"([^\"]*)\"");
  for (std::sregex_iterator at(html.begin(), html.end(), id), end; at != end; ++at) {
    INFO((*at)[1]);
    CHECK(ids.insert((*at)[1]).second);
  }
  CHECK(ids.size() == 3 + 2 * 2);
  const std::regex reference("(?:href=\"|url\\()([^\")]*)");
  std::size_t references = 0;
  for (std::sregex_iterator at(html.begin(), html.end(), reference), end; at != end; ++at) {
    const std::string target = (*at)[1];
    INFO(target);
    REQUIRE(target.rfind("#", 0) == 0);
    CHECK(ids.count(target.substr(1)) == 1);
    ++references;
  }
  CHECK(references == 3 + 2 * 3);
  // Nothing else names a place to fetch from: no src, no import, and addresses are those of XML's name spaces alone.
  CHECK(html.find("src=") == html.npos);
  CHECK(html.find("@import") == html.npos);
  CHECK(count(html, "http") == 2 * 2);
}

TEST_CASE("tables and pictures of a page say what they are") {
  const std::string html = html_text(page());
  CHECK_THAT(html, Contains("<caption>a table</caption>") &&
                       Contains("<th role=\"columnheader\" scope=\"col\">take</th>") &&
                       Contains("<th role=\"rowheader\" scope=\"row\">40 m</th>") &&
                       Contains("<td role=\"cell\" data-head=\"loss\">3 dB</td>"));
  CHECK_THAT(html, Contains("<td role=\"cell\" data-head=\"loss\"></td>"));  // a short row is filled up
  CHECK_THAT(html, Contains("role=\"img\" aria-label=\"a bar &quot;each&quot; band\"") &&
                       Contains("<figcaption>a caption</figcaption>") && Contains("viewBox=\"0 0 40 30\""));
  CHECK(html.find("made by it") == html.npos);
  // A wide one is moved within its frame on a phone, by keys too; a narrow one needs no frame that moves.
  CHECK_THAT(html,
             Contains("<figure><div class=\"frame\" role=\"group\" aria-label=\"a caption\" tabindex=\"0\"><svg") &&
                 Contains("<figure class=\"narrow\"><div class=\"frame\"><svg"));
  // Roles of their own: on a phone every part of a table is shown as a block.
  for (const char* part : {"table", "thead", "tbody", "tr", "th", "td"}) {
    INFO(part);
    CHECK(count(html, std::string("<") + part + " role=") ==
          count(html, std::string("<") + part + " ") + count(html, std::string("<") + part + ">"));
    CHECK(count(html, std::string("<") + part + " role=") > 0);
  }
  CHECK_THAT(html, Contains("@media print") && Contains("prefers-color-scheme: dark") && Contains("max-width: 44rem"));
}

TEST_CASE("a page refuses pictures that reach outside or run") {
  HtmlPage p = page();
  const auto with = [&](const std::string& svg) {
    p.sections = {{"a", {HtmlFigure{svg, "", ""}}}};
    return html_text(p);
  };
  CHECK_THROWS_AS(with("<svg><use href=\"http://a/b\"/></svg>"), Error);
  CHECK_THROWS_AS(with("<svg><script/></svg>"), Error);
  CHECK_THROWS_AS(with("<svg><rect fill=\"url(http://a)\"/></svg>"), Error);
  CHECK_THROWS_AS(with("no picture"), Error);
  CHECK_NOTHROW(with("<svg><rect/></svg>"));
}
