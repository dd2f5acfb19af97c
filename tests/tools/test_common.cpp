// What every tool does alike: help, version, bad input, where results go.

#include <sys/stat.h>

#include <fmt/format.h>

#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/output.hpp"
#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

const std::vector<std::string> tools{"stile-net",  "stile-match", "stile-coil", "stile-range",
                                     "stile-whip", "stile-sweep", "stile-plan", "stile-design"};
const std::string good = "stile-net --frequency 7.1MHz --load 20-300j ";
const std::string good_match = "stile-match --frequency 7.1MHz --load 20-300j ";

/// Status 2, one line in GNU form that holds `part`, nothing on standard output.
void check_refused(const Folder& folder, const std::string& command, const std::string& part) {
  const Run run = folder.run(command);
  INFO(command << "\n" << run.err);
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK(programs::lines(run.err) == 1);
  CHECK(run.err.find(command.substr(0, command.find(' ')) + ": ") == 0);
  CHECK(run.err.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("the small tools end with four lines of caution that say where all of them are") {
  const Folder folder;
  programs::fs::create_directory_symlink(STILE_EXAMPLES_FOLDER, folder.file("examples"));
  std::ofstream(folder.file("a.s1p")) << "# MHz S RI R 50\n7.0 0.2 0.1\n7.1 0.2 0.11\n7.2 0.2 0.12\n";
  for (const char* command :
       {"stile-net --frequency 7.1MHz --load 20-300j", "stile-match --frequency 7.1MHz --load 20-300j",
        "stile-match --one-setting --frequency 7.1MHz --load 20-300j",
        "stile-coil --diameter 40mm --pitch 2mm --wire 1mm --turns 20 --frequency 7.1MHz",
        "stile-range --tuner examples/moor/tuner.toml --frequency 10MHz --load 50",
        "stile-whip examples/moor/whip.toml --frequency 14.2MHz", "stile-sweep a.s1p"}) {
    const Run run = folder.run(std::string(command) + " --quiet");
    INFO(command << "\n" << run.err);
    REQUIRE((run.status == 0 || run.status == 1));
    const std::size_t first = run.out.find("Caution, RF burn: ");
    REQUIRE(first != std::string::npos);
    const std::string rest = run.out.substr(first);
    CHECK(programs::lines(rest) == 4);
    CHECK(rest.find("\nCaution, exposure: ") != std::string::npos);
    CHECK(rest.find("\nCaution, local rules: ") != std::string::npos);
    const auto list = folder.run(std::string(command) + " --quiet --json").json().at("cautions");
    const std::size_t cautions = list.size();
    CHECK(cautions >= 7);
    // A CSV has all of them, with what they stand on.
    const std::string csv = folder.run(std::string(command) + " --quiet --csv").out;
    for (const auto& c : list) {
      const std::string line = fmt::format("\n# caution: {}: {} ({})\n", c.at("hazard").get<std::string>(),
                                           c.at("text").get<std::string>(), c.at("basis").get<std::string>());
      INFO(line);
      CHECK(csv.find(line) != std::string::npos);
    }
    CHECK(rest.find(fmt::format("\nAll {} cautions, with what they stand on: --json.\n", cautions)) !=
          std::string::npos);
  }
}

TEST_CASE("help opens with the description and two examples that run") {
  for (const std::string& tool : tools) {
    const Folder folder;
    programs::fs::create_directory_symlink(STILE_EXAMPLES_FOLDER, folder.file("examples"));
    const Run help = folder.run(tool + " --help");
    INFO(help.out);
    CHECK(help.status == 0);
    CHECK(help.err.empty());
    CHECK(help.out.find(tool + ": ") == 0);
    const std::size_t begin = help.out.find("\n\nExamples:\n"), end = help.out.find("\n\nUsage: " + tool + " ");
    REQUIRE(begin == help.out.find('\n'));
    REQUIRE(end != std::string::npos);
    const std::string text = help.out.substr(begin + 11, end - begin - 10);  // each line between line feeds
    std::vector<std::string> examples;
    for (std::size_t at = text.find("\n  " + tool); at != std::string::npos;) {
      const std::size_t next = text.find("\n  " + tool, at + 1);
      examples.push_back(text.substr(at, next - at));
      at = next;
    }
    CHECK(examples.size() == 2);
    for (const std::string& example : examples) {
      const Run run = folder.run(example);
      INFO(example << "\n" << run.err);
      // A band on which nothing holds is an answer.
      CHECK(run.status <= (tool == "stile-plan" || example.find("--station") != std::string::npos ? 1 : 0));
      CHECK(programs::lines(run.err) == static_cast<std::size_t>(run.status));
      CHECK(run.out.empty() == (example.find(" -o ") != std::string::npos));
    }
    CHECK(help.out.find("\nExit status:\n  0  done\n  1  done, and ") != std::string::npos);
    for (const char* option : {"--json", "--csv", "-o FILE", "--quiet", "--help", "--version", "--chart FILE"}) {
      INFO(option);
      CHECK(help.out.find(std::string("\n  ") + option) != std::string::npos);
    }
    CHECK(folder.run(tool + " --nonsense --help").status == 2);
  }
}

TEST_CASE("version is one line") {
  const Folder folder;
  for (const std::string& tool : tools) {
    const Run run = folder.run(tool + " --version");
    CHECK(run.status == 0);
    CHECK(run.out.find(tool + " ") == 0);
    CHECK(programs::lines(run.out) == 1);
  }
}

TEST_CASE("wrong usage is status 2 and says what would be legal") {
  const Folder folder;
  check_refused(folder, good + "--frequencies 1", "unknown option \"--frequencies\"; legal: --frequency --sweep");
  check_refused(folder, good + "--nonsense=1", "unknown option \"--nonsense\"; legal: ");
  check_refused(folder, good + "-x", "unknown option \"-x\"; legal: ");
  check_refused(folder, good + "more", "unexpected argument \"more\"; legal: ");
  check_refused(folder, good + "--frequency 7MHz", "--frequency is given more than once; legal: once");
  check_refused(folder, good + "--power", "--power has no value");
  check_refused(folder, good + "--json --csv", "--json and --csv exclude each other");
  check_refused(folder, good + "--load-file x.s1p", "--load and --load-file exclude each other");
  check_refused(folder, "stile-net --frequency 7MHz",
                "no load is given; legal: --load 12-230j or --load-file FILE.s1p");
  check_refused(folder, "stile-net --load 50", "no frequency is given; legal: --frequency 7.1MHz or --sweep");
  check_refused(folder, "stile-match --load 50", "no frequency is given");
  check_refused(folder, good + "--series L=1uH,label=a --shunt C=1pF,label=a", "two parts are called \"a\"");
  check_refused(folder, good_match + "--form x", "--form: column 1: no form \"x\"; legal: l pi t");
  check_refused(folder, good_match + "--loaded-q 3",
                "--loaded-q says nothing alone; legal: beside --form pi or --form t");
  check_refused(folder, good_match + "--form pi --loaded-q 3 --phase 40",
                "--loaded-q and --phase exclude each other; legal: one of them");
  check_refused(folder, good_match + "--series e25", "--series: column 1: ");
  check_refused(folder, good_match + "--inductor-q-at 7MHz",
                "--inductor-q-at says nothing alone; legal: beside --inductor-q");
  CHECK(folder.names().empty());
}

TEST_CASE("quantities that cannot be read are status 2 with their column") {
  const Folder folder;
  check_refused(folder, "stile-net --load 50 --frequency 7.1mHz", "--frequency: column 4: ");
  check_refused(folder, "stile-net --load 50 --frequency 7.1V", "--frequency: column 4: ");
  check_refused(folder, "stile-net --load 50 --frequency nan", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency inf", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency 0x10", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency ''", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency -7MHz", "--frequency: column 1: \"-7MHz\": must be > 0");
  check_refused(folder, "stile-net --frequency 7MHz --load 12-230i", "--load: column 7: ");
  check_refused(folder, "stile-net --frequency 7MHz --load -1", "--load: column 1: \"-1\": its real part must be >= 0");
  check_refused(folder, "stile-net --frequency 7MHz --load nan", "--load: column 1: ");
  check_refused(folder, good + "--source 0", "--source: column 1: ");
  check_refused(folder, good + "--power 0W", "--power: column 1: ");
  check_refused(folder, good + "--series L=1uH,Q=-200", "--series: column 9: \"-200\": Q must be > 0");
  check_refused(folder, good + "--series L=1uH,QQ=200", "--series: column 7: unknown key \"QQ\"; legal: L= Q= ");
  check_refused(folder, good + "--sweep 7MHz:8MHz", "--sweep: column 1: ");
  check_refused(folder, good_match + "--inductor-q nan", "--inductor-q: column 1: ");
  check_refused(folder, good_match + "--inductor-q -5", "--inductor-q: column 1: \"-5\": must be > 0");
  check_refused(folder, good_match + "--swr 1", "--swr: column 1: \"1\": must be > 1");
  check_refused(folder, good_match + "--tolerance 120%", "--tolerance: column 1: ");
  check_refused(folder, good_match + "--tolerance 5% --samples 0", "--samples: column 1: ");
  check_refused(folder, good_match + "--samples 100", "--samples says nothing alone; legal: beside --tolerance or");
  check_refused(folder, good_match + "--seed 3", "--seed says nothing alone; legal: beside --tolerance or");
  for (const char* option : {"--least-loss", "--loaded-q 3", "--end-q 3", "--phase 30", "--inductance-limits 1uH:2uH",
                             "--capacitance-limits 1pF:2nF"}) {
    check_refused(folder, good_match + option, " says nothing alone; legal: beside --form pi or --form t");
  }
  check_refused(folder, good_match + "--form t --phase 300",
                "--phase: column 1: \"300\": out of range; legal: degrees, -180..180");
  check_refused(folder, good_match + "--solution 99 --chart a.png",
                "--solution 99: there is no such solution; legal: 1..4");
}

TEST_CASE("load files that cannot serve are status 2") {
  const Folder folder;
  folder.write("load.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.2e6,20,-290\n");
  folder.write("broken.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.2e6,x,-290\n");
  folder.write("broken.s1p", "# MHz Z RI R 50\n7.0 1.0\n");
  folder.write("load.txt", "50\n");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file none.s1p", "none.s1p");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file .", "legal");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file load.txt", "load.txt");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file broken.csv", "broken.csv:3:7: ");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file broken.s1p", "broken.s1p:2:");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file -", "");
  check_refused(folder, "stile-net --frequency 14.2MHz --load-file load.csv",
                "--frequency: load \"load\": no data at 14.2 MHz, there is none above 7.2 MHz; data: 7 MHz to 7.2 MHz");
  check_refused(folder, "stile-net --sweep 7.1MHz:7.3MHz:3 --frequency 7.15MHz --load-file load.csv",
                "--sweep: load \"load\": no data at 7.3 MHz");
  check_refused(folder, "stile-net --frequency 14.2MHz --load-file load.csv", "7.2 MHz");
  check_refused(folder, "stile-match --frequency 14.2MHz --load-file load.csv --json", "7.2 MHz");
  if (::geteuid() != 0) {  // root reads everything
    folder.write("locked.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n");
    REQUIRE(::chmod(folder.file("locked.csv").c_str(), 0) == 0);
    check_refused(folder, "stile-net --frequency 7MHz --load-file locked.csv", "locked.csv");
  }
}

TEST_CASE("completions are written for bash and fish, and for no other shell") {
  const Folder folder;
  for (const std::string& tool : tools) {
    INFO(tool);
    CHECK(folder.run(tool + " --completion bash").out.rfind("# bash completion of " + tool + " ", 0) == 0);
    CHECK(folder.run(tool + " --completion fish -o c.fish").status == 0);
    CHECK(programs::content(folder.file("c.fish")).rfind("# fish completion of " + tool + " ", 0) == 0);
    check_refused(folder, tool + " --completion zsh", "--completion \"zsh\": no such shell; legal: bash fish");
  }
}

TEST_CASE("a result that cannot be written is status 2 and leaves nothing") {
  const Folder folder;
  for (const std::string& command : {good, good_match}) {
    check_refused(folder, command + ">/dev/full", "standard output: cannot be written: No space left on device");
    check_refused(folder, command + "-o /dev/full", "/dev/full: cannot be written: No space left on device");
    check_refused(folder, command + "-o .", ".: cannot be written: Is a directory");
    check_refused(folder, command + "-o none/result.txt",
                  "none/result.txt: cannot be written: No such file or directory");
    check_refused(folder, command + "-o ''", "cannot be written: ");
    check_refused(folder, command + "--version >/dev/full", "cannot be written");
    check_refused(folder, command + "--chart ./plot.jpg", "plot.jpg");
  }
  check_refused(folder, good + "--touchstone .", "cannot be written: Is a directory");
  check_refused(folder, good + "--touchstone a.s1p -o none/x", "none/x: cannot be written: No such file or directory");
  check_refused(folder, good + "--touchstone a.s1p -o /dev/full",
                "/dev/full: cannot be written: No space left on device");
  check_refused(folder, good + "--touchstone a.s1p >/dev/full",
                "standard output: cannot be written: No space left on device");
  check_refused(folder, good + "--touchstone a.s1p -o b.txt --chart none/c.png",
                "none/c.png: cannot be written: No such file");
  check_refused(folder, good + "--chart c.png --chart c.svg >/dev/full",
                "standard output: cannot be written: No space left on device");
  CHECK(folder.names().empty());
}

TEST_CASE("a file is replaced as a whole and keeps its permissions") {
  const Folder folder;
  folder.write("result.json", "old");
  REQUIRE(::chmod(folder.file("result.json").c_str(), 0640) == 0);
  // A disk that fills: no file may grow beyond one block, so the write fails half way and the old file stays.
  const Run full = folder.run("trap '' XFSZ; ulimit -f 1; " + good + "--json -o result.json");
  INFO(full.err);
  CHECK(full.status == 2);
  CHECK(full.err == "stile-net: result.json: cannot be written: File too large; legal: a file in a folder that may be "
                    "written to, or - "
                    "for standard output\n");
  CHECK(programs::content(folder.file("result.json")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"result.json"});

  const Run run = folder.run(good + "--json -o result.json");
  CHECK(run.status == 0);
  CHECK(run.out.empty());
  CHECK(nlohmann::json::parse(programs::content(folder.file("result.json"))).at("tool") == "stile-net");
  struct stat status {};
  REQUIRE(::stat(folder.file("result.json").c_str(), &status) == 0);
  CHECK((status.st_mode & 0777U) == 0640U);

  programs::fs::create_symlink("result.json", folder.file("link.json"));
  CHECK(folder.run(good + "--csv -o link.json").status == 0);
  CHECK(programs::fs::is_symlink(folder.file("link.json")));
  CHECK(programs::content(folder.file("result.json")).find("frequency_hz,") == 0);
  CHECK(folder.names() == std::vector<std::string>{"link.json", "result.json"});
}

TEST_CASE("files that were there stay when another result cannot be written") {
  const Folder folder;
  folder.write("a.s1p", "old");
  check_refused(folder, good + "--touchstone a.s1p >/dev/full", "standard output: cannot be written");
  CHECK(programs::content(folder.file("a.s1p")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"a.s1p"});
  CHECK(folder.run(good + "--touchstone a.s1p -o b.txt").status == 0);
  CHECK(programs::content(folder.file("a.s1p")).find("# Hz Z RI") != std::string::npos);
  CHECK(folder.names() == std::vector<std::string>{"a.s1p", "b.txt"});
}

TEST_CASE("a reader that has gone ends the program quietly and leaves nothing") {
  const Folder folder;
  const Run run = folder.run("mkfifo pipe; (exec 3<pipe) & { sleep 0.2; " + good +
                             "--touchstone a.s1p; echo $? >&2; } >pipe; rm pipe");
  CHECK(run.err == "141\n");  // 128 + SIGPIPE
  CHECK(folder.names().empty());
}

TEST_CASE("a lone dash is standard output") {
  const Folder folder;
  CHECK(folder.run(good + "--csv -o -").out == folder.run(good + "--csv").out);
  CHECK(folder.names().empty());
}

TEST_CASE("warnings about a load file go to standard error and into the JSON") {
  const Folder folder;
  folder.write("load.csv", "frequency_hz,r_ohm,x_ohm,mood\n7e6,20,-310,1\n7.2e6,20,-290,2\n");
  const Run run = folder.run("stile-net --frequency 7.1MHz --load-file load.csv --json");
  CHECK(run.status == 0);
  CHECK(run.err.find("stile-net: warning: ") == 0);
  CHECK(run.json().at("warnings").size() == 1);
  const Run quiet = folder.run("stile-net --frequency 7.1MHz --load-file load.csv --json --quiet");
  CHECK(quiet.err.empty());
  CHECK(quiet.out == run.out);
}

TEST_CASE("two outputs of one name are refused before the work") {
  const Folder folder;
  programs::fs::create_directory_symlink(STILE_EXAMPLES_FOLDER, folder.file("examples"));
  programs::fs::create_directory(folder.file("sub"));
  programs::fs::create_symlink("a.svg", folder.file("link"));  // leads to what is not there yet
  programs::fs::create_directory_symlink("sub", folder.file("again"));
  const std::vector<std::string> before = folder.names();
  const std::string same = " name the same file; legal: two different ones";
  check_refused(folder, good + "--touchstone a -o a", "--touchstone and -o" + same);
  check_refused(folder, good + "-o a.svg --chart ./sub/../a.svg", "-o and --chart" + same);
  check_refused(folder, good + "--touchstone link --chart a.svg", "--touchstone and --chart" + same);
  check_refused(folder, good + "--touchstone sub/a -o again/a", "--touchstone and -o" + same);
  check_refused(folder, good + "--touchstone - -o -", "--touchstone and -o" + same);
  check_refused(folder, good + "--chart a.svg --chart ./a.svg", "--chart names the file \"./a.svg\" twice");
  check_refused(folder, good_match + "--chart a.svg -o a.svg", "--chart and -o" + same);
  const std::string coil = "stile-coil --turns 10 --diameter 40mm --pitch 2mm --wire 1mm --frequency 7MHz ";
  check_refused(folder, coil + "--build-sheet a.pdf --template a.pdf", "--build-sheet and --template" + same);
  check_refused(folder, coil + "--build-sheet same.txt -o same.txt", "--build-sheet and -o" + same);
  const std::string plan = "stile-plan examples/moor/station.toml --report ";
  check_refused(folder, plan + "out -o out", "--report and -o" + same);
  check_refused(folder, plan + "out -o out/plan.json", "-o \"out/plan.json\" is in the folder of --report");
  check_refused(folder, plan + "again --chart sub/x.png", "--chart \"sub/x.png\" is in the folder of --report");
  const Run redirected = folder.run(good + "--touchstone a.s1p >a.s1p");
  CHECK(redirected.status == 2);
  CHECK(redirected.err.find("--touchstone names the file to which standard output goes") != std::string::npos);
  programs::fs::remove(folder.file("a.s1p"));
  CHECK(folder.names() == before);
  CHECK(folder.run(good + "-o sub/a --touchstone a").status == 0);
}

namespace {

/// Commands that write every kind of file of each tool; the old ones are there.
const std::vector<std::pair<std::string, std::vector<std::string>>> all_outputs{
    {"stile-net --frequency 7.1MHz --load 20-300j -o a.txt --touchstone a.s1p --chart a.png --chart a.svg",
     {"a.txt", "a.s1p", "a.png", "a.svg"}},
    {"stile-match --frequency 7.1MHz --load 20-300j -o a.txt --chart a.pdf", {"a.txt", "a.pdf"}},
    {"stile-coil --turns 10 --diameter 40mm --pitch 2mm --wire 1mm --frequency 7MHz --show voltage -o a.txt "
     "--build-sheet b.txt --template c.pdf --chart a.png",
     {"a.txt", "b.txt", "c.pdf", "a.png"}},
    {"stile-coil --station examples/moor/coil.toml --condition 'on heather' -o a.txt --build-sheet b.pdf --template "
     "c.svg --chart a.png",
     {"a.txt", "b.pdf", "c.svg", "a.png"}},
    {"stile-range --tuner examples/moor/tuner.toml --frequency 10MHz --load 50 --cells 11 -o a.txt --chart a.png",
     {"a.txt", "a.png"}},
    {"stile-whip examples/moor/whip.toml --condition 'on heather' --frequency 7MHz -o a.txt --touchstone a.s1p "
     "--chart a.png",
     {"a.txt", "a.s1p", "a.png"}},
    {"stile-plan station.toml --quiet -o a.txt --chart a.png --report new/report", {"a.txt", "a.png"}}};

/// A folder with the examples, the old files, and a gnuplot that does as told.
struct Staged {
  Folder folder;
  std::vector<std::string> names;
  Staged(const std::vector<std::string>& old, const std::string& gnuplot) {
    programs::fs::create_directory_symlink(STILE_EXAMPLES_FOLDER, folder.file("examples"));
    for (const char* name : {"bin", "tmp"}) programs::fs::create_directory(folder.file(name));
    folder.write("station.toml", programs::small_station);
    for (const std::string& file : old) folder.write(file, "old");
    folder.write("bin/gnuplot", "#!/bin/bash\n" + gnuplot + "\n");
    REQUIRE(::chmod(folder.file("bin/gnuplot").c_str(), 0755) == 0);
    names = folder.names();
  }
  Run run(const std::string& command) const {
    return folder.run("export PATH=$PWD/bin:$PATH TMPDIR=$PWD/tmp\n" + command);
  }
  /// As before, nothing beside them.
  void check_untouched(const std::vector<std::string>& old) const {
    CHECK(folder.names() == names);
    CHECK(programs::fs::is_empty(folder.file("tmp")));
    for (const std::string& file : old) {
      INFO(file);
      CHECK(programs::content(folder.file(file)) == "old");
    }
  }
};

}  // namespace

TEST_CASE("a chart that fails leaves every file of the run as it was") {
  const std::vector<std::string> ways{"echo 'line 1: something odd' >&2; exit 1", "kill -9 $$", "exit 0"};
  for (std::size_t n = 0; n < all_outputs.size(); ++n) {
    const auto& [command, files] = all_outputs[n];
    const Staged staged(files, ways[n % ways.size()]);
    const Run run = staged.run(command);
    INFO(command << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.err.find("the chart cannot be drawn: a.") != std::string::npos);
    staged.check_untouched(files);
  }
}

TEST_CASE("where no font is installed nothing is drawn without its letters") {
  const Folder folder;
  folder.write("fonts.conf", "<?xml version=\"1.0\"?><fontconfig><cachedir>cache</cachedir></fontconfig>\n");
  folder.write("station.toml", programs::small_station);
  const auto names = folder.names();
  const std::string coil = "stile-coil --turns 10 --diameter 40mm --pitch 2mm --wire 1mm --frequency 7MHz -o a.txt ";
  for (const std::string& command :
       {coil + "--template c.pdf", coil + "--build-sheet b.pdf", coil + "--show voltage --chart a.png",
        std::string("stile-plan station.toml -o a.txt --report report")}) {
    const Run run = folder.run("export FONTCONFIG_FILE=$PWD/fonts.conf\n" + command);
    INFO(command << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.err.find("no font is installed") != std::string::npos);
    CHECK(folder.names() == names);
  }
}

TEST_CASE("a signal while gnuplot hangs ends every tool at once and leaves what was there") {
  const std::vector<std::pair<std::string, int>> signals{{"INT", 2}, {"TERM", 15}, {"HUP", 1}};
  for (std::size_t n = 0; n < all_outputs.size(); ++n) {
    const auto& [command, files] = all_outputs[n];
    const auto& [name, number] = signals[n % signals.size()];
    const Staged staged(files, "trap '' INT TERM HUP\n: >../begun\nwhile :; do sleep 1000; done");
    // Job control, so that what runs behind is not born with SIGINT ignored.
    const Run run = staged.run("set -m; rm -f ../begun; " + command + " & tool=$!\n" +
                               "for n in {1..3000}; do [ -e ../begun ] && break; sleep 0.02; done\n" + "kill -" + name +
                               " $tool; wait $tool; echo $?");
    INFO(command << "\n" << run.err);
    CHECK(run.out == std::to_string(128 + number) + "\n");
    staged.check_untouched(files);
  }
}

TEST_CASE("a signal while a reader does not read ends the tool and leaves nothing") {
  const std::string sweep = "stile-net --sweep 7MHz:8MHz:2000 --load 20-300j --json --touchstone a.s1p ";
  // A pipe that is full, and one that nobody opens.
  for (const std::string& where : {std::string(">pipe"), std::string("-o pipe")}) {
    const Folder folder;
    const std::string reader = where == ">pipe" ? "exec 3<>pipe; " : "";
    const Run run =
        folder.run("mkfifo pipe; " + reader + "set -m; " + sweep + where + " & tool=$!\n" +
                   "for n in {1..3000}; do compgen -G 'a.s1p.part*' >/dev/null && break; sleep 0.02; done\n" +
                   "sleep 0.1; kill -INT $tool; wait $tool; echo $?; rm pipe");
    INFO(where << "\n" << run.err);
    CHECK(run.out == "130\n");
    CHECK(folder.names().empty());
  }
}

TEST_CASE("a signal that is ignored stays ignored") {
  const Staged staged({}, "kill -HUP $PPID; sleep 0.3; exec /usr/bin/gnuplot \"$@\"");
  const Run run = staged.run("trap '' HUP\n" + good + "--chart a.svg -o a.txt");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(programs::content(staged.folder.file("a.svg")).find("</svg>") != std::string::npos);
}

TEST_CASE("a new folder of a report goes again when the report fails") {
  const Staged staged({}, "exit 1");
  CHECK(staged.run("stile-plan station.toml --quiet --report deep/er/report").status == 2);
  CHECK(staged.folder.names() == staged.names);
  programs::fs::create_directory(staged.folder.file("deep"));
  CHECK(staged.run("stile-plan station.toml --quiet --report deep/er/report").status == 2);
  CHECK(programs::fs::is_empty(staged.folder.file("deep")));
}

TEST_CASE("a rename that fails puts the files before it back") {
  const Folder folder;
  folder.write("old.txt", "old");
  {
    stile::tools::Outputs outputs;
    outputs.add(folder.file("old.txt").string(), "new");
    outputs.add(folder.file("made.txt").string(), "new");
    outputs.add(folder.file("taken.txt").string(), "new");
    programs::fs::create_directory(folder.file("taken.txt"));  // by somebody else, meanwhile
    CHECK_THROWS_AS(outputs.commit(), stile::tools::OutputError);
  }
  CHECK(programs::content(folder.file("old.txt")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"old.txt", "taken.txt"});
  stile::tools::Outputs outputs;
  outputs.add(folder.file("old.txt").string(), "new");
  CHECK_THROWS_WITH(outputs.add(folder.file("../work/old.txt").string(), "other"),
                    Catch::Matchers::Contains("two results would be written to it"));
  outputs.add(folder.file("made.txt").string(), "new");
  outputs.commit();
  CHECK(programs::content(folder.file("old.txt")) == "new");
  CHECK(programs::content(folder.file("made.txt")) == "new");
  CHECK(folder.names() == std::vector<std::string>{"made.txt", "old.txt", "taken.txt"});
}

TEST_CASE("where names cannot be exchanged each file is old or new and none is left half") {
  const Folder folder;
  const auto path = [&](const char* name) { return folder.file(name).string(); };
  folder.write("old.txt", "old");
  folder.write("late.txt", "old");
  {
    stile::tools::Outputs outputs(false);
    outputs.add(path("late.txt"), "new");
    CHECK_THROWS_AS(outputs.add(path("none/x.txt"), "new"), stile::tools::OutputError);  // before any rename
  }
  CHECK(programs::content(path("late.txt")) == "old");
  {
    stile::tools::Outputs outputs(false);
    outputs.add(path("old.txt"), "new");
    outputs.add(path("made.txt"), "new");
    outputs.add(path("taken.txt"), "new");
    outputs.add(path("late.txt"), "new");
    programs::fs::create_directory(folder.file("taken.txt"));  // by somebody else, meanwhile
    CHECK_THROWS_AS(outputs.commit(), stile::tools::OutputError);
  }
  CHECK(programs::content(path("old.txt")) == "new");  // renamed before the failure
  CHECK(programs::content(path("late.txt")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"late.txt", "old.txt", "taken.txt"});
  stile::tools::Outputs outputs(false);
  outputs.add(path("late.txt"), "new");
  outputs.add(path("made.txt"), "new");
  outputs.commit();
  CHECK(programs::content(path("late.txt")) == "new");
  CHECK(programs::content(path("made.txt")) == "new");
  CHECK(folder.names() == std::vector<std::string>{"late.txt", "made.txt", "old.txt", "taken.txt"});
}

TEST_CASE("JSON with arrays made while they are written has the bytes of one document in small pieces") {
  using stile::tools::Json;
  const auto element = [](std::size_t n) {
    return Json{{"n", n}, {"values", {0.5 * static_cast<double>(n), nullptr}}};
  };
  Json frame{{"name", "two \"long\" arrays"}, {"points", Json::array()}, {"maps", Json::array()}, {"end", 1}};
  frame["maps"].push_back({{"x", 1}, {"cells", Json::array()}});
  frame["maps"].push_back({{"cells", Json::array()}, {"none", Json::array()}});
  Json whole = frame;
  for (std::size_t n = 0; n < 5000; ++n) {
    whole["points"].push_back(element(n));
    whole["maps"][0]["cells"].push_back(n);
  }
  whole["maps"][1]["cells"].push_back(nullptr);
  const auto number = [](std::size_t n) { return Json(n); };
  stile::tools::Pieces pieces =
      stile::tools::json_pieces(frame, {{"/points", 5000, element},
                                        {"/maps/0/cells", 5000, number},
                                        {"/maps/1/cells", 1, [](std::size_t) { return Json(nullptr); }},
                                        {"/maps/1/none", 0, number}});
  std::string all;
  std::size_t count = 0, longest = 0;
  for (std::string piece = pieces(); !piece.empty(); piece = pieces()) {
    all += piece;
    longest = std::max(longest, piece.size());
    ++count;
  }
  CHECK(all == stile::tools::json_text(whole));
  CHECK(count > 5);
  CHECK(longest < (std::size_t{1} << 16) + 1000);
  CHECK(pieces().empty());
}

TEST_CASE("an option that would be ignored is refused with what is legal") {
  const Folder folder;
  const std::string whip = "stile-whip none.toml --frequency 7MHz ";
  check_refused(folder, good_match + "--solution 2", "--solution says nothing alone; legal: beside --chart");
  check_refused(folder, good_match + "--series e12 --inductor-series e24 --capacitor-series e6",
                "--series is of no part beside --inductor-series and --capacitor-series; legal: two of them");
  check_refused(folder, good + "--touchstone - --json",
                "--json is of the result, and --touchstone - takes standard output");
  check_refused(folder, whip + "--touchstone - --csv",
                "--csv is of the result, and --touchstone - takes standard output");
  check_refused(folder, whip + "--show smith", "--show says nothing alone; legal: beside --chart");
  check_refused(folder, whip + "--reference 75", "--reference says nothing alone; legal: beside --show smith");
  check_refused(folder, whip + "--detail", "--detail says nothing alone; legal: beside --json");
  check_refused(folder, whip + "--study --csv", "--study and --csv exclude each other; legal: one of them");
  check_refused(folder, "stile-plan none.toml --conditions --json",
                "--conditions and --json exclude each other; legal: one of them");
  CHECK(folder.run(good_match + "--form T --least-loss").status == 0);  // letters of either case
}

TEST_CASE("options that belong together, or do not, are told before anything is read") {
  using namespace stile::tools;
  Description d;
  d.name = "stile-x";
  d.options = {{"--job", "J", ""}, {"--size", "N", ""}, {"--fast", "", ""}, {"--depth", "N", ""}, {"--wide", "", ""}};
  d.rules = {only_with({"--size", "--depth"}, {"--job big", "--fast"}), not_with({"--fast"}, {"--depth", "--job slow"}),
             one_of({"--job", "--depth", "--wide"})};
  const auto read = [&](std::vector<const char*> words) {
    words.insert(words.begin(), "stile-x");
    return read_command_line(d, static_cast<int>(words.size()), words.data());
  };
  CHECK_THROWS_WITH(read({"--size", "3"}), "--size says nothing alone; legal: beside --job big or --fast");
  CHECK_THROWS_WITH(read({"--job", "small", "--depth", "3"}),
                    "--depth says nothing alone; legal: beside --job big or --fast");
  CHECK_THROWS_WITH(read({"--fast", "--depth", "3"}), "--fast and --depth exclude each other; legal: one of them");
  CHECK_THROWS_WITH(read({"--fast", "--job", "slow"}), "--fast and --job slow exclude each other; legal: one of them");
  CHECK_THROWS_WITH(read({"--wide", "--job", "big"}), "--job and --wide exclude each other; legal: one of them");
  CHECK(read({"--job", "BIG", "--size", "3"}).has("--size"));
  CHECK(read({"--fast", "--size", "3", "--job", "big"}).meets("--job big"));
  CHECK(read({"--size", "3", "--help"}).has("--help"));
}
