// stile-design as a user runs it.
#include "programs.hpp"

#include "../design/briefs.hpp"

using namespace programs;
using stile::design::test::brief_text;
using stile::design::test::BriefParts;

TEST_CASE("stile-design writes the fixed JSON keys, and files that stile-plan and stile-whip take as they are") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil", "tuner"])";
  folder.write("brief.toml", brief_text(parts));
  const Run run = folder.run("stile-design brief.toml --objective mean --write 'new folder' --json");
  CHECK(run.err == "");
  REQUIRE(run.status == 0);
  const auto j = run.json();
  REQUIRE(j["stations"].size() == 3);
  for (const auto& s : j["stations"]) {
    for (const char* key : {"touch", "objective_db", "held_bands", "whip_m", "counterpoise_m", "mass_kg",
                            "station_file", "wires_file", "bands"})
      CHECK(s.contains(key));
    for (const auto& b : s["bands"]) {
      for (const char* key : {"band", "radiated_db", "worst_condition", "worst_swr", "holds", "settings", "bound_db"})
        CHECK(b.contains(key));
      CHECK(b["settings"].size() == 2);
      CHECK(b["settings"][0].contains("condition"));
      CHECK(b["settings"][0].contains("elements"));
    }
    const std::string station = s["station_file"], wires = s["wires_file"];
    const Run plan = folder.run("stile-plan 'new folder/" + station + "' --json");
    CHECK(plan.status <= 1);
    const auto bands = plan.json()["bands"];
    for (std::size_t b = 0; b < bands.size(); ++b) {
      const double there = bands[b]["arrangements"][0]["radiated_db"], here = s["bands"][b]["radiated_db"];
      CHECK(there == Approx(here).margin(1e-6).epsilon(0.0));
    }
    CHECK(folder.run("stile-whip 'new folder/" + wires + "' --frequency 7.1MHz").status == 0);
  }
  for (const char* key : {"antennas", "solves", "settings"}) CHECK(j["searched"][key].get<int>() > 0);
  REQUIRE_FALSE(j["sensitivity"].empty());
  for (const char* key : {"what", "db_per_unit", "unit"}) CHECK(j["sensitivity"][0].contains(key));
  CHECK_FALSE(j["cautions"].empty());
}

TEST_CASE("stile-design says how it searched, what it did not vary and the cautions, in text and CSV") {
  Folder folder;
  folder.write("brief.toml", brief_text());
  const Run text = folder.run("stile-design brief.toml --touch band");
  REQUIRE(text.status == 0);
  CHECK(text.out.find("Touch \"band\"") != std::string::npos);
  CHECK(text.out.find("Touch \"nothing\"") == std::string::npos);
  CHECK(text.out.find("every antenna of the stated steps was solved") != std::string::npos);
  CHECK(text.out.find("Not varied") != std::string::npos);
  CHECK(text.out.find("Q assumed") != std::string::npos);
  CHECK(text.out.find("Cautions") != std::string::npos);
  CHECK(text.out.find(" safe") == std::string::npos);
  const Run csv = folder.run("stile-design brief.toml --touch nothing --csv");
  REQUIRE(csv.status == 0);
  CHECK(csv.out.rfind("touch,network,whip_m", 0) == 0);
  CHECK(csv.out.find("# caution") != std::string::npos);
}

TEST_CASE("stile-design: a brief that nothing can meet is status 1, one with faults is status 2") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.more = "[limits]\nmass = \"100 g\"\n[mass]\n\"base coil\" = \"250 g\"\n";
  folder.write("heavy.toml", brief_text(parts));
  const Run heavy = folder.run("stile-design heavy.toml");
  CHECK(heavy.status == 1);
  CHECK(heavy.err.find("relax the limit of mass") != std::string::npos);
  CHECK(heavy.out.find("Nothing is within the limits") != std::string::npos);
  folder.write("faults.toml", "[brief]\nname = 3\n[limits]\nmass = \"4 m\"\n");
  const Run faults = folder.run("stile-design faults.toml");
  CHECK(faults.status == 2);
  CHECK(faults.err.find("faults.toml:2:") != std::string::npos);
  CHECK(faults.err.find("faults.toml:4:") != std::string::npos);
  CHECK(folder.run("stile-design heavy.toml --touch hardly").status == 2);
  CHECK(folder.run("stile-design heavy.toml --objective best").status == 2);
}

TEST_CASE("stile-design takes its stations and the present one on walks") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = "4 m", radius = "0.5 mm", metal = "copper" })";
  folder.write("brief.toml", brief_text(parts));
  const Run first = folder.run("stile-design brief.toml --touch band --write out --json");
  REQUIRE(first.status == 0);
  CHECK(first.json()["walks"]["count"] == 0);
  CHECK(first.json()["stations"][0]["walks"].is_null());
  const Run run =
      folder.run("stile-design brief.toml --touch band --against out/touch-band-station.toml --walks 12 --json");
  CHECK(run.err == "");
  REQUIRE(run.status == 0);
  const auto j = run.json();
  CHECK(j["walks"]["count"] == 12);
  CHECK_FALSE(j["walks"]["assumptions"].empty());
  REQUIRE(j["present"].size() == 1);
  // The present station is the one that is found: the same figures, as stated and on each walk.
  const double found = j["stations"][0]["objective_db"], present = j["present"][0]["objective_db"];
  CHECK(present == Approx(found).margin(1e-6).epsilon(0.0));
  const double walked = j["stations"][0]["walks"]["mean_db"]["median"],
               carried = j["present"][0]["walks"]["mean_db"]["median"];
  CHECK(carried == Approx(walked).margin(1e-6).epsilon(0.0));
  REQUIRE(j["stations"][0]["walks"]["bands"].size() == 2);
  CHECK(j["stations"][0]["walks"]["bands"][0]["held_share"].contains("tenth"));
  CHECK(j["walks"]["verdicts"].size() == 1);
}
