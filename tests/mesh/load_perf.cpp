#include <assimp/config.h>
#include <assimp/postprocess.h>
#include <assimp/scene.h>
#include <benchmark/benchmark.h>

#include <assimp/Importer.hpp>
#include <ctime>

#include "seamwright/mesh/load.h"
#include "seamwright/mesh/mend.h"
#include "seamwright/mesh/save.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// refined_elephant, its faces split until there are more than a million.
const std::string& million() {
  static const std::string bytes = [] {
    Solid solid = testing::reference_part("elephant");
    while (solid.face_count() < 1'000'000) solid = testing::subdivide(solid, 1);
    return stl_bytes(solid);
  }();
  return bytes;
}

/// Assimp at its best: normals dropped before corners are joined, else it joins nothing; no other
/// step.
std::size_t read_by_assimp(const std::string& bytes) {
  Assimp::Importer importer;
  importer.SetPropertyInteger(AI_CONFIG_PP_RVC_FLAGS, aiComponent_NORMALS);
  const aiScene* scene = importer.ReadFileFromMemory(
      bytes.data(), bytes.size(), aiProcess_RemoveComponent | aiProcess_JoinIdenticalVertices,
      "stl");
  return scene == nullptr ? 0 : scene->mMeshes[0]->mNumVertices;
}

double seconds_of(const auto& work) {
  const std::clock_t start = std::clock();
  work();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

void own_reader(benchmark::State& state) {
  million();  // made before the clock runs
  std::size_t points = 0;
  for (auto _ : state) points = read_stl(million(), "million").value().points.size();
  state.counters["faces"] = static_cast<double>((million().size() - 84) / 50);
  state.counters["points"] = static_cast<double>(points);
}
BENCHMARK(own_reader)->Unit(benchmark::kMillisecond);

void assimp_reader(benchmark::State& state) {
  million();
  std::size_t points = 0;
  for (auto _ : state) points = read_by_assimp(million());
  state.counters["points"] = static_cast<double>(points);
}
BENCHMARK(assimp_reader)->Unit(benchmark::kMillisecond)->Iterations(2);

/// The goal, processor time against processor time in one run: at least 10.
void assimp_over_own(benchmark::State& state) {
  double own_s = 0, assimp_s = 0;
  million();
  for (auto _ : state) {
    own_s += seconds_of([] { benchmark::DoNotOptimize(read_stl(million(), "million")); });
    assimp_s += seconds_of([] { benchmark::DoNotOptimize(read_by_assimp(million())); });
  }
  state.counters["times_faster"] = assimp_s / own_s;
}
BENCHMARK(assimp_over_own)->Unit(benchmark::kMillisecond)->Iterations(3);

void mend_sound_mesh(benchmark::State& state) {
  const TriangleSoup soup = read_stl(million(), "million").value();
  for (auto _ : state) benchmark::DoNotOptimize(mend(soup));
}
BENCHMARK(mend_sound_mesh)->Unit(benchmark::kMillisecond);

void write_back(benchmark::State& state) {
  const Solid solid = Solid::make(read_stl(million(), "million").value()).value();
  for (auto _ : state) benchmark::DoNotOptimize(stl_bytes(solid));
}
BENCHMARK(write_back)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright
