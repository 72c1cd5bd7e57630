-- AlterTable
ALTER TABLE "Document" ADD COLUMN "unit" TEXT NOT NULL DEFAULT '';
