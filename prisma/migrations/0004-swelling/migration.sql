-- AlterTable
ALTER TABLE "Build" ADD COLUMN "lowHumidity" REAL;
ALTER TABLE "Build" ADD COLUMN "highHumidity" REAL;

-- AlterTable
ALTER TABLE "Fit" ADD COLUMN "holeGrowth" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Fit" ADD COLUMN "shaftGrowth" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Fit" ADD COLUMN "lowHumidity" REAL;
ALTER TABLE "Fit" ADD COLUMN "highHumidity" REAL;

-- AlterTable
ALTER TABLE "Chain" ADD COLUMN "lowHumidity" REAL;
ALTER TABLE "Chain" ADD COLUMN "highHumidity" REAL;

-- AlterTable
ALTER TABLE "ChainLink" ADD COLUMN "growth" TEXT NOT NULL DEFAULT '';
