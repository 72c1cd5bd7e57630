// The plain way that the risk benchmark is measured against, on one thread: for each run the days of every activity,
// early dates, late dates, and who has no float. Days are drawn from the beta law by two gamma numbers of the standard
// library ("gamma"), or by a straight line between quantiles worked out before ("table"), which is a shortcut: in the
// tails it is off. Reads the activities in an order of work from a file; prints for each round its seconds and the mean
// finish.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <vector>

template <class T> static void take(FILE* file, std::vector<T>& into, size_t count) {
  into.resize(count);
  if (fread(into.data(), sizeof(T), count, file) != count) exit(2);
}

int main(int argumentCount, char** arguments) {
  if (argumentCount < 4) return 2;
  const bool byTable = arguments[3][0] == 't';
  FILE* file = fopen(arguments[1], "rb");
  if (!file) return 2;
  int32_t sizes[4];
  if (fread(sizes, 4, 4, file) != 4) return 2;
  const int n = sizes[0], m = sizes[1], knots = sizes[2], runs = sizes[3];
  std::vector<double> shapes, quantiles, lags;
  std::vector<int32_t> firstLink, targets;
  std::vector<uint8_t> types;
  take(file, shapes, (size_t)n * 3);
  take(file, quantiles, (size_t)n * knots);
  take(file, lags, m);
  take(file, firstLink, n + 1);
  take(file, targets, m);
  take(file, types, m);
  fclose(file);

  std::vector<double> duration(n), start(n), end(n), lateStart(n), lateEnd(n);
  std::vector<uint32_t> critical(n);
  for (int round = atoi(arguments[2]); round > 0; round--) {
    std::mt19937 numbers(round);
    const auto begun = std::chrono::steady_clock::now();
    std::fill(critical.begin(), critical.end(), 0);
    double sum = 0;
    for (int run = 0; run < runs; run++) {
      std::fill(start.begin(), start.end(), 0);
      double finish = 0;
      for (int k = 0; !byTable && k < n; k++) {
        const double least = shapes[3 * k], range = shapes[3 * k + 1], peak = shapes[3 * k + 2];
        const double one = std::gamma_distribution<double>(1 + 4 * peak)(numbers);
        const double other = std::gamma_distribution<double>(5 - 4 * peak)(numbers);
        duration[k] = least + range * one / (one + other);
      }
      for (int k = 0; byTable && k < n; k++) {
        const double at = (numbers() + 0.5) / 4294967296.0 * (knots - 1);
        const int knot = (int)at;
        const double* q = &quantiles[(size_t)k * knots + knot];
        duration[k] = q[0] + (q[1] - q[0]) * (at - knot);
      }
      for (int k = 0; k < n; k++) {
        end[k] = start[k] + duration[k];
        finish = std::max(finish, end[k]);
        for (int link = firstLink[k]; link < firstLink[k + 1]; link++) {
          const int to = targets[link];
          double moment = (types[link] & 1 ? start[k] : end[k]) + lags[link];
          if (types[link] & 2) moment -= duration[to];
          start[to] = std::max(start[to], moment);
        }
      }
      for (int k = n - 1; k >= 0; k--) {
        double latest = finish - duration[k];
        for (int link = firstLink[k]; link < firstLink[k + 1]; link++) {
          const int to = targets[link];
          double moment = (types[link] & 2 ? lateEnd[to] : lateStart[to]) - lags[link];
          if (!(types[link] & 1)) moment -= duration[k];
          latest = std::min(latest, moment);
        }
        lateStart[k] = latest;
        lateEnd[k] = latest + duration[k];
        if (latest - start[k] < 1e-9 * finish) critical[k]++;
      }
      sum += finish;
    }
    const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - begun;
    printf("%.9f %.9f %u\n", seconds.count(), sum / runs, critical[n - 1]);
  }
}
