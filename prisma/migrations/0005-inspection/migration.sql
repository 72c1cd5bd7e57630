-- AlterTable
ALTER TABLE "Job" ADD COLUMN "firstApprovedAt" DATETIME;
ALTER TABLE "Job" ADD COLUMN "firstApprovedById" INTEGER;
ALTER TABLE "Job" ADD COLUMN "firstApproval" TEXT NOT NULL DEFAULT '';

-- AlterTable
ALTER TABLE "UnitCheck" ADD COLUMN "bySample" BOOLEAN NOT NULL DEFAULT false;
ALTER TABLE "UnitCheck" ADD COLUMN "version" INTEGER NOT NULL DEFAULT 1;

-- CreateTable
CREATE TABLE "Sample" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "itemId" INTEGER NOT NULL,
    "lot" INTEGER NOT NULL,
    "letter" TEXT NOT NULL,
    "unitNos" TEXT NOT NULL,
    "at" DATETIME NOT NULL,
    "byId" INTEGER NOT NULL,
    "endedAt" DATETIME,
    "endedById" INTEGER,
    CONSTRAINT "Sample_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "ParcelItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateIndex
CREATE UNIQUE INDEX "Sample_itemId_key" ON "Sample"("itemId");

-- A first piece that was accepted as drawn before approvals were kept is approved.
UPDATE "Job" SET
    "firstApprovedAt" = (SELECT MIN(k."at") FROM "UnitCheck" k JOIN "ParcelItem" i ON i."id" = k."itemId" JOIN "Claim" c ON c."id" = i."claimId" WHERE c."jobId" = "Job"."id" AND k."disposition" = 'accept'),
    "firstApproval" = 'accepted as drawn'
WHERE "firstPiece" = 1 AND EXISTS (SELECT 1 FROM "UnitCheck" k JOIN "ParcelItem" i ON i."id" = k."itemId" JOIN "Claim" c ON c."id" = i."claimId" WHERE c."jobId" = "Job"."id" AND k."disposition" = 'accept');
