// Everything that is wrong with a station file is told at once, and what is only a consequence is not.
#include <algorithm>
#include <string>
#include <vector>

#include <station/bench_station.hpp>
#include <station/one_change.hpp>
#include <stile/station/station.hpp>
#include <stile/station/wires_file.hpp>

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

std::vector<std::string> faults(const std::string& text) {
  std::vector<std::string> all;
  try {
    read_station(text, "s.toml", ".");
  } catch (const ParseErrors& errors) {
    for (const ParseError& e : errors.faults) all.emplace_back(e.what());
  } catch (const ParseError& error) {
    all.emplace_back(error.what());
  }
  return all;
}

}  // namespace

TEST_CASE("every fault of a station file is told in one pass with its line and column") {
  std::string text = bench_station;
  text = changed(text, "power = \"5 W\"\nimpedance", "power = \"5 m\"\nimpedance");
  text = changed(text, "swr_limit = 2", "swr_limit = 0.5");
  text = changed(text, "low = \"14.0 MHz\"", "lowest = \"14.0 MHz\"");
  text = changed(text, "capacitance = \"25 pF\"", "capacitance = 25");
  text = changed(text, "type = \"RG-174\"", "type = \"RG-999\"");
  text = changed(text, "inductor_q = 200\n", "inductor_q = -200\n");
  text = changed(text, "q = 900", "q = \"much\"");
  text = changed(text, "kind = \"base coil\"", "kind = \"base wire\"");
  text = changed(text, "ground = \"0.5\"", "ground = 1.5");
  const std::vector<std::string> all = faults(text);
  const std::vector<std::string> places{
      "s.toml:7:12: ", "s.toml:9:13: ",  "s.toml:21:1: ", "s.toml:19:1: ", "s.toml:34:15: ",
      "s.toml:41:8: ", "s.toml:51:14: ", "s.toml:76:6: ", "s.toml:94:8: ", "s.toml:99:10: "};
  for (const std::string& place : places) {
    INFO(place);
    CHECK(std::count_if(all.begin(), all.end(), [&](const std::string& f) { return f.rfind(place, 0) == 0; }) == 1);
  }
  for (const std::string& f : all) UNSCOPED_INFO(f);
  CHECK(all.size() == places.size());
}

TEST_CASE("what refers to something with a fault is no fault of its own") {
  CHECK(faults(changed(bench_station, "type = \"RG-174\"\nlength = \"0.8 m\"", "type = \"RG-174\"")).size() == 1);
  CHECK(faults(changed(bench_station, "values = [\"40 pF\", \"160 pF\"]", "values = []")).size() == 1);
  CHECK(faults(changed(bench_station, "condition = \"wet\"\nnote", "condition = 3\nnote")).size() == 1);
  CHECK(faults(changed(bench_station, "name = \"40 m\"\nlow = \"7.0 MHz\"", "low = \"7.0 MHz\"")).size() == 1);
  CHECK(faults(changed(bench_station, "high = \"7.2 MHz\"", "high = \"7.2 m\"")).size() == 1);
  // Wires that cannot be read have the conditions that are described.
  const std::string stated = bench_station;
  const std::size_t loads = stated.find("[[load]]\ncondition = \"dry\""), behind = stated.find("[cable.lead]");
  const std::vector<std::string> unread =
      faults(stated.substr(0, loads) + "[[antenna]]\nname = \"whip\"\nwires = \"none.toml\"\n\n" +
             stated.substr(behind) + "\n[[condition]]\nname = \"wet\"\nshare = 1.0\n");
  for (const std::string& f : unread) UNSCOPED_INFO(f);
  CHECK(unread.size() == 1);
}

TEST_CASE("a fault in one place does not hide one behind it in the same table") {
  CHECK(faults(changed(changed(bench_station, "radiation = \"1 ohm\"", "radiation = \"1 m\""), "metal_at = \"7 MHz\"",
                       "metal_at = \"7 MW\""))
            .size() == 2);
  CHECK(faults(changed(changed(bench_station, "q_at = \"7 MHz\"\nstray", "q_at = \"7 V\"\nstray"), "stray = \"0.1 uH\"",
                       "stray = \"0.1 uF\""))
            .size() == 2);
}

TEST_CASE("every fault of a wires file is told in one pass, and what stands on another is not") {
  const std::string text =
      "[ground]\nrelative_permittivity = 15\nconductivity = \"1 m\"\n"                                  // 3
      "[[wire]]\nname = \"whip\"\npoints = [[0, 0, 1.2], [0, 0, 4.2]]\nradius = \"1.5 kg\"\n"           // 7
      "[[wire]]\nname = \"counterpoise\"\nlength = \"5 m\"\nradius = \"0.5 mm\"\nmetal = \"cheese\"\n"  // 12
      "[feed]\ngap = \"20 km\"\n"                                                                       // 14
      "[[lump]]\non = \"counterpoise\"\ndistance = \"0.1 m\"\nresistance = 1\n"
      "[[condition]]\nname = \"lifted\"\nkind = \"lifted\"\n";
  std::vector<std::string> all;
  try {
    read_wires(text, "w.toml");
  } catch (const ParseErrors& errors) {
    for (const ParseError& e : errors.faults) all.emplace_back(e.what());
  }
  for (const std::string& f : all) UNSCOPED_INFO(f);
  REQUIRE(all.size() == 4);
  const std::vector<std::pair<std::string, std::string>> expected{
      {"w.toml:3:19: ", "S/m"}, {"w.toml:7:15: ", "mm"}, {"w.toml:12:9: ", "copper"}, {"w.toml:14:7: ", "m"}};
  for (std::size_t n = 0; n < expected.size(); ++n) {
    CHECK(all[n].rfind(expected[n].first, 0) == 0);
    CHECK(all[n].find(expected[n].second, expected[n].first.size()) != std::string::npos);  // what would be legal
  }
}
