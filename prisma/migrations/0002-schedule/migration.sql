-- AlterTable
ALTER TABLE "FinishRecord" ADD COLUMN "at50On" TEXT;
ALTER TABLE "FinishRecord" ADD COLUMN "at80On" TEXT;
ALTER TABLE "FinishRecord" ADD COLUMN "at95On" TEXT;

-- CreateTable
CREATE TABLE "Closure" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "fromOn" TEXT NOT NULL,
    "untilOn" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Baseline" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "name" TEXT NOT NULL,
    "day" TEXT NOT NULL,
    "finishOn" TEXT NOT NULL,
    "at50On" TEXT,
    "at80On" TEXT,
    "at95On" TEXT,
    "note" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "createdById" INTEGER,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "BaselineLine" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "baselineId" INTEGER NOT NULL,
    "partId" INTEGER,
    "jobId" INTEGER,
    "label" TEXT NOT NULL,
    "readyOn" TEXT NOT NULL,
    "critical" BOOLEAN NOT NULL,
    CONSTRAINT "BaselineLine_baselineId_fkey" FOREIGN KEY ("baselineId") REFERENCES "Baseline" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- AlterTable
ALTER TABLE "Job" ADD COLUMN "spot" TEXT NOT NULL DEFAULT '';

-- CreateIndex
CREATE INDEX "BaselineLine_baselineId_idx" ON "BaselineLine"("baselineId");
