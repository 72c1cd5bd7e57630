-- AlterTable
ALTER TABLE "Bulletin" ADD COLUMN "photos" TEXT NOT NULL DEFAULT '[]';
