// `runtrue remote`: the keys that other scripts rely on, the exit status, the words.
#include "tests/system/program.h"

namespace runtrue {
namespace {

using nlohmann::json;

// A held key by the protocol's document: address 0x40, command 0x19, then one short repeat.
std::string nec_hold() {
  std::string text = "level,duration_us\n0,50000\n1,9000\n0,4500\n";
  for (const int byte : {0x40, 0xBF, 0x19, 0xE6}) {
    for (int bit = 0; bit < 8; ++bit) {
      text += (byte >> bit & 1) != 0 ? "1,562\n0,1688\n" : "1,562\n0,562\n";
    }
  }
  return text + "1,562\n0,40438\n1,9000\n0,2250\n1,562\n0,50000\n";
}

class RemoteRead : public Bench {};

TEST_F(RemoteRead, HeldKey_AnswersEveryKeyAndExitsZero) {
  write("key.csv", nec_hold());
  const Outcome outcome = run({"remote", "read", "key.csv", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json file = document_of(outcome)["files"][0];
  EXPECT_EQ(file["file"], "key.csv");
  ASSERT_EQ(file["frames"].size(), 2U) << outcome.out;
  const json first = file["frames"][0], second = file["frames"][1];
  EXPECT_EQ(first["protocol"], "nec");
  EXPECT_EQ(first["address"], 0x40);
  EXPECT_EQ(first["command"], 0x19);
  EXPECT_EQ(first["repeat"], false);
  EXPECT_EQ(first["start_us"], 50000);
  EXPECT_GT(first["margin_us"], 200);
  EXPECT_EQ(second["repeat"], true);
  EXPECT_FALSE(second.contains("address"));
  EXPECT_EQ(file["refused"], json::array());
  EXPECT_EQ(file["inverted"], false);
}

TEST_F(RemoteRead, SeveralFiles_AnswerInTheirOrder) {
  write("key.csv", nec_hold());
  write("line.vcd",
        "$timescale 1 us $end\n$var wire 1 ! IR $end\n$enddefinitions $end\n#0\n1!\n#900\n0!\n"
        "#1400\n1!\n#90000\n");
  const Outcome outcome = run({"remote", "read", "line.vcd", "-", "key.csv", "--json"}, nec_hold());
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json files = document_of(outcome)["files"];
  ASSERT_EQ(files.size(), 3U);
  EXPECT_EQ(files[0]["file"], "line.vcd");
  EXPECT_EQ(files[0]["frames"], json::array());
  EXPECT_EQ(files[0]["refused"].size(), 1U);
  EXPECT_TRUE(files[0]["refused"][0].contains("because"));
  EXPECT_EQ(files[1]["frames"], files[2]["frames"]);
}

TEST_F(RemoteRead, NothingRead_ExitsOne) {
  write("noise.csv", "level,duration_us\n0,50000\n1,300\n0,50000\n");
  const Outcome outcome = run({"remote", "read", "noise.csv"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_TRUE(outcome.out.starts_with("noise.csv: 0 frames read, 1 piece refused.")) << outcome.out;
  EXPECT_EQ(run({"remote", "read", "noise.csv", "--json"}).status, 1);
}

TEST_F(RemoteRead, BadFiles_AreRefusedAtTheirPlace) {
  write("key.csv", nec_hold());
  write("bad.csv", "level,duration_us\n0,50000\n1,ten\n");
  expect_refusal(run({"remote", "read", "key.csv", "bad.csv", "--json"}),
                 "bad.csv:3:3: ", {"ten", "expected"});
  write("bad.vcd", "$timescale 1 us $end\n$var wire 2 ! IR $end\n");
  expect_refusal(run({"remote", "read", "bad.vcd"}), "bad.vcd:2:11: ", {"expected 1"});
  expect_refusal(run({"remote", "read", "nowhere.csv"}), "nowhere.csv: ", {"cannot be"});
  expect_refusal(run({"remote", "read"}), "runtrue remote read: ", {"CAPTURE"});
  expect_refusal(run({"remote", "red"}), "runtrue remote: ", {"read"});
}

class RemoteLearn : public Bench {};
class RemoteWrite : public Bench {};
class RemoteTimeOut : public Bench {};

// Three presses of a made-up remote: 16 bits by pulse distance after 6 and 3 ms.
std::string odd_remote(unsigned bits) {
  std::string text = "level,duration_us\n0,50000\n";
  for (int press = 0; press < 3; ++press) {
    text += "1,6000\n0,3000\n";
    for (int bit = 0; bit < 16; ++bit) {
      text += (bits >> bit & 1) != 0 ? "1,400\n0,1200\n" : "1,400\n0,400\n";
    }
    text += "1,400\n0,60000\n";
  }
  return text;
}

TEST_F(RemoteLearn, UnknownRemote_IsSavedAndItsKeysAreReadAgain) {
  write("left.csv", odd_remote(0x51A3));
  write("stop.csv", odd_remote(0x2E4D));
  EXPECT_EQ(run({"remote", "read", "left.csv"}).status, 1);
  const Outcome learned = run({"remote", "learn", "left=left.csv", "stop=stop.csv", "--name",
                               "grey", "--output", "grey.json", "--json"});
  EXPECT_EQ(learned.status, 0) << learned.err;
  const json answer = document_of(learned);
  EXPECT_EQ(answer["coding"], "pulse-distance");
  EXPECT_EQ(answer["bits"], 16);
  EXPECT_GE(answer["margin_us"], 420);
  const Outcome outcome =
      run({"remote", "read", "stop.csv", "left.csv", "--remote", "grey.json", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json files = document_of(outcome)["files"];
  ASSERT_EQ(files[0]["frames"].size(), 3U);
  EXPECT_EQ(files[0]["frames"][2]["key"], "stop");
  EXPECT_EQ(files[0]["refused"], json::array());
  EXPECT_EQ(files[1]["frames"][0]["key"], "left");
  EXPECT_EQ(files[1]["frames"][0]["protocol"], "learned");
}

TEST_F(RemoteLearn, KeysThatAreTheSame_AreNotLearned) {
  write("left.csv", odd_remote(0x51A3));
  const Outcome outcome =
      run({"remote", "learn", "left=left.csv", "right=left.csv", "--output", "grey.json"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_TRUE(outcome.out.starts_with("Not learned: ")) << outcome.out;
  EXPECT_FALSE(is_there("grey.json"));
  expect_refusal(run({"remote", "learn", "left.csv"}), "KEY=CAPTURE: ", {"left=left.csv"});
}

TEST_F(RemoteLearn, SavedRemoteThatCannotBeUsed_IsRefusedAtItsPlace) {
  write("key.csv", nec_hold());
  const auto refuse = [this](const std::string& text, const std::string& place) {
    write("bad.json", text);
    expect_refusal(run({"remote", "read", "key.csv", "--remote", "bad.json"}), "bad.json:" + place,
                   {"expected"});
  };
  refuse("{\"name\": \"x\"}", "1:1:");
  refuse("{\"name\": \"x\",\n \"keys\": [{\"name\": \"a\", \"forms_us\": [[1, 2]]}]}", "2:");
  refuse(
      "{\"name\": \"x\", \"keys\": [{\"name\": \"a\", \"protocol\": \"none\", \"address\": 1, "
      "\"command\": 1}]}",
      "1:");
}

TEST_F(RemoteWrite, SignalOfEveryForm_IsReadAgain) {
  for (const char* file : {"key.csv", "key.vcd"}) {
    const Outcome outcome =
        run({"remote", "write", "nec", "--address", "0x40", "--command", "25", "--repeats", "2",
             "--clock", "-3", "--stretch", "90", "--jitter", "20", "--output", file});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    const json frames = document_of(run({"remote", "read", file, "--json"}))["files"][0]["frames"];
    ASSERT_EQ(frames.size(), 3U);
    EXPECT_EQ(frames[0]["address"], 64);
    EXPECT_EQ(frames[0]["command"], 25);
    EXPECT_EQ(frames[2]["repeat"], true);
  }
  expect_refusal(run({"remote", "write", "nec", "--address", "256"}),
                 "runtrue remote write: ", {"address"});
  expect_refusal(run({"remote", "write", "nex"}), "PROTOCOL: ", {"nec"});
}

TEST_F(RemoteTimeOut, TicksOfAQuarterSecond_TwoAreSuggested) {
  const Outcome outcome = run({"remote", "time-out", "nec", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  EXPECT_EQ(answer["suggested"]["ticks"], 2);
  EXPECT_EQ(answer["suggested"]["rides_over"], 1);
  EXPECT_EQ(answer["choices"][0]["rides_over"], -1);
  EXPECT_EQ(run({"remote", "time-out", "nec", "--loss", "80"}).status, 1);
  expect_refusal(run({"remote", "time-out", "nec", "--loss", "95"}), "--loss: ", {"90"});
}

class RemoteRoom : public Bench {};

TEST_F(RemoteRoom, PlanOfThree_NamesTurnsAndDangers) {
  write("room.json", R"({"robots": 2, "remotes": [
    {"name": "grey", "protocol": "nec", "address": 64, "period_ms": 107.4},
    {"name": "twin", "protocol": "nec", "address": 64, "period_ms": 108},
    {"name": "black", "protocol": "rc5", "address": 5}]})");
  const Outcome outcome = run({"remote", "room", "room.json", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  EXPECT_EQ(answer["remotes"][0]["name"], "grey");
  EXPECT_EQ(answer["remotes"][1]["name"], "black");
  EXPECT_EQ(answer["turns"], 2);
  EXPECT_EQ(answer["at_once"], 1);
  EXPECT_EQ(answer["dangers"][0]["kind"], "drowned");
  EXPECT_TRUE(run({"remote", "room", "room.json"}).out.starts_with("2 turns for 2 robots;"));
  write("room.json", R"({"robots": 2, "remotes": [
    {"name": "grey", "protocol": "nec", "address": 64},
    {"name": "twin", "protocol": "nec", "address": 64}]})");
  EXPECT_EQ(run({"remote", "room", "room.json"}).status, 1);
  write("bad.json", "{\"robots\": 0,\n \"remotes\": []}");
  expect_refusal(run({"remote", "room", "bad.json"}), "bad.json:1:12: ", {"robots", "30"});
  write("bad.json", "{\"robots\": 1,\n \"remotes\": [{\"name\": \"a\", \"address\": 1}]}");
  expect_refusal(run({"remote", "room", "bad.json"}), "bad.json:2:14: ", {"protocol"});
}

}  // namespace
}  // namespace runtrue
